"""The exact chain with limits on how much of it may agree with something.

"Closer to this one" and "less like that one" are limits on a sum along the way: so
much of the length under other chords, no more or no less. The answer is the cheapest
of all ways within the limits, not one pushed towards them.

A price on each unit counted turns the chain with limits into the plain chain, whose
best way is quickly found; at the right price its cost is a floor under every way
within the limits (Lagrangian relaxation). With a way within them at hand, most chords
are then seen to lie on no better way, and the sums are counted over the rest alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.crossing import cross
from harmony.harmonising.limits import Limit
from harmony.harmonising.passes import Passes, WeighedWay
from harmony.harmonising.regions import Regions
from harmony.harmonising.sums import Sums

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

_FIRST_PRICE, _LEAST_PRICE, _DEARER, _HIGHEST_PRICE = 1.0, 0.1, 3.0, 1e4
_TURNS, _FEWER_AT = 24, (0, 2)  # of the search for a price; when chords are left out
_CLOSE = 1e-9
_ALLOWANCES = (1.0, 4.0, 16.0, math.inf)  # above the floor, while no way is known


def find_limited(
    nodes: FloatArray,
    steps: Sequence[FloatArray],
    limits: Sequence[Limit],
    units: Sequence[int],
    regions: Regions | None = None,
) -> tuple[list[int], list[int], float]:
    """The cheapest way through within all limits: chords, key regions, its cost.

    Parameters
    ----------
    nodes, steps
        As for :func:`harmony.harmonising.chain.find_best`.
    limits
        What is counted, each sum held to its limits; at least one.
    units
        The length of every span, in whole numbers.
    regions
        Key regions searched together with the chords, weighed already.

    Returns
    -------
    path, where, value
        The value is infinite where no way keeps all limits; ``where`` is all 0 without
        regions.

    Raises
    ------
    HarmonyError
        Where several limits over a long stretch leave too many ways to be weighed.
    """
    counts = [limit.counts for limit in limits]
    return Counting(nodes, steps, counts, units, regions).find(limits)


_Told = tuple[float, WeighedWay]  # what a way costs without the price looked for


@dataclass(frozen=True, slots=True)
class _Side:
    """The bound of one sum that the cheapest way oversteps, and from which side."""

    number: int
    bound: int
    is_less: bool

    def is_over(self, way: WeighedWay) -> bool:
        """True where a way reaches the bound, from the side the cheapest does not."""
        counted = way.sums[self.number]
        return counted >= self.bound if self.is_less else counted <= self.bound

    def mix(self, low: _Told, high: _Told) -> tuple[float, int, _Told, _Told]:
        """What a mixture of two ways costs that counts just the bound; how far apart they are."""
        below, above = low[1].sums[self.number], high[1].sums[self.number]
        share = (self.bound - below) / (above - below)
        return low[0] + share * (high[0] - low[0]), abs(above - below), low, high


class Counting:
    """A chain and what is counted in it, to be searched within one set of limits or several.

    ``counts`` marks the chords counted for each sum, shape (spans, chords); for the rest
    see :func:`find_limited`.
    """

    def __init__(
        self,
        nodes: FloatArray,
        steps: Sequence[FloatArray],
        counts: Sequence[BoolArray],
        units: Sequence[int],
        regions: Regions | None = None,
    ) -> None:
        if regions is None:
            regions = Regions((), np.zeros((1, nodes.shape[1])), 0.0)
        told = np.stack(counts).astype(np.intp)
        gains = [told[:, place] * units[place] for place in range(len(nodes))]
        here = [row + regions.costs for row in nodes]
        self._whole = Passes(here, steps, regions.change, gains, [*np.isfinite(nodes)])
        self.passes = self._whole
        self.known: list[WeighedWay] = []
        #: the price last found for a single limit; one known beforehand saves time
        self.price = 0.0
        # The last pass forward: the chain it went through, what it found, at which prices.
        self._last: tuple[Passes, list[FloatArray]] = self.passes, []
        self._last_prices: tuple[float, ...] | None = None
        self.limits: Sequence[Limit] = ()
        self.best: WeighedWay | None = None

    def find(self, limits: Sequence[Limit]) -> tuple[list[int], list[int], float]:
        """Give the cheapest way within limits on what is counted, as :func:`find_limited`."""
        self.limits = limits
        self.best, self.passes = None, self._whole
        for way in self.known:
            self._note(way)
        found = self._find() if self.passes.is_open else None
        if found is None:
            nothing = [0] * len(self.passes.here)
            return nothing, nothing, math.inf
        return list(found.chords), list(found.regions), found.cost

    def _find(self) -> WeighedWay | None:
        prices = [0.0] * len(self.limits)
        for number in range(len(self.limits)):
            if not self._set_price(prices, number):
                return None
        ahead, onward, given = self._see_both_ways(prices)
        floor = float(ahead[-1].min()) - given
        if not math.isfinite(floor):
            return None
        if self.best is not None and self.best.cost <= floor + _CLOSE * max(1.0, abs(floor)):
            return self.best
        for allowance in _ALLOWANCES:
            ceiling = min(floor + allowance, math.inf if self.best is None else self.best.cost)
            ceiling += _CLOSE * max(1.0, abs(ceiling)) if math.isfinite(ceiling) else 0.0
            told = Sums(self.passes, self.limits).find(ahead, onward, prices, ceiling, given)
            found = None if told is None else self._whole.weigh(*told)
            if found is not None and found.cost <= ceiling:
                return found
            if found is not None:
                self._note(found)
        return None

    def _see_both_ways(
        self, prices: Sequence[float]
    ) -> tuple[list[FloatArray], list[FloatArray], float]:
        """What ways to and on from each chord cost, and what the limits give back of it."""
        priced = self.passes.priced(prices)
        # A price is paid on what is counted, save as much as the limit asks for or allows.
        given = sum(
            price * (limit.least if price < 0 else limit.most or 0)
            for price, limit in zip(prices, self.limits, strict=True)
        )
        known, ahead = self._last
        if known is not self.passes or self._last_prices != tuple(prices):
            ahead = self.passes.forward(priced)
        return ahead, self.passes.backward(priced), given

    def _leave_out(self, prices: Sequence[float]) -> None:
        """Leave out every chord through which no way is as cheap as the best known."""
        if self.best is None:
            return
        ahead, onward, given = self._see_both_ways(prices)
        most = self.best.cost + given + _CLOSE * max(1.0, abs(self.best.cost))
        kept = [np.any(to + on <= most, axis=0) for to, on in zip(ahead, onward, strict=True)]
        self.passes = self.passes.narrow(kept)

    def _try(self, prices: Sequence[float]) -> WeighedWay:
        passes = self.passes
        ahead = passes.forward(passes.priced(prices))
        self._last, self._last_prices = (passes, ahead), tuple(prices)
        way = self._whole.weigh(*passes.trace(ahead))
        self._note(way)
        self.known.append(way)
        return way

    def _note(self, way: WeighedWay) -> None:
        keeps = all(limit.holds(n) for limit, n in zip(self.limits, way.sums, strict=True))
        if keeps and (self.best is None or way.cost < self.best.cost):
            self.best = way

    def _set_price(self, prices: list[float], number: int) -> bool:
        """Find the price at which one sum lies at its limit; False where it never can.

        Of the ways known, two that count too little and too much cost the same at some
        price; where no other way is cheaper at it, it is the price.
        """
        limit = self.limits[number]
        if len(self.limits) == 1 and not self.known and self.price < 0 and limit.most is None:
            # A chain much like this one was held to the same limit at this price.
            prices[number] = self.price
            self._try(prices)
            is_less = True
        else:
            free = self._try(prices) if any(prices) or not self.known else self.known[0]
            if limit.holds(free.sums[number]):
                return True
            is_less = free.sums[number] < limit.least
        side = _Side(number, limit.least if is_less else limit.most or 0, is_less)
        if not self._try_either_side(prices, side):
            prices[number] = 0.0
            # Beside the prices of others it may be out of reach and still be had.
            return any(prices)
        if all(map(side.is_over, self.known)):
            return True
        self._try_between(prices, side)
        self.price = prices[number]
        return True

    def _try_either_side(self, prices: list[float], side: _Side) -> bool:
        """Raise or lower the price until ways on both sides of the bound are known.

        False where none reaches it; where none stays under it the price ends at 0.
        """
        price = max(_FIRST_PRICE, abs(prices[side.number]))
        while not any(map(side.is_over, self.known)):
            if price > _HIGHEST_PRICE:
                return False
            price *= _DEARER if prices[side.number] else 1.0
            prices[side.number] = -price if side.is_less else price
            self._try(prices)
        while all(map(side.is_over, self.known)) and prices[side.number]:
            lower = prices[side.number] / _DEARER
            prices[side.number] = 0.0 if abs(lower) < _LEAST_PRICE else lower
            self._try(prices)
        return True

    def _try_between(self, prices: list[float], side: _Side) -> None:
        """Close in on the price, chords that lie on no better way left out meanwhile."""
        number = side.number

        def cost_without(way: WeighedWay) -> float:
            others = zip(prices, way.sums, strict=True)
            return way.cost + sum(p * n for k, (p, n) in enumerate(others) if k != number)

        for turn in range(_TURNS):
            told = [(cost_without(way), way) for way in self.known]
            level, _, (_, one), (_, other) = min(
                (side.mix(low, high) for low in told if not side.is_over(low[1])
                 for high in told if side.is_over(high[1])),
                key=itemgetter(0, 1),
            )  # fmt: skip
            price = (cost_without(other) - cost_without(one)) / (
                one.sums[number] - other.sums[number]
            )
            if (price > 0) if side.is_less else (price < 0):
                prices[number] = 0.0
                break
            prices[number] = price
            way = self._try(prices)
            value = cost_without(way) + price * (way.sums[number] - side.bound)
            if value >= level - _CLOSE * max(1.0, abs(level)):
                break
            if turn in _FEWER_AT:
                self._cross(one, other)
                self._leave_out(prices)
        self._cross(one, other)

    def _cross(self, one: WeighedWay, other: WeighedWay) -> None:
        """Note the best crossings of two ways."""
        for first, second in ((one, other), (other, one)):
            way = cross(self._whole, self.limits, first, second)
            if way is not None:
                self._note(way)
