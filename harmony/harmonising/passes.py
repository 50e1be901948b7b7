"""One pass forward or backward through chords and key regions, at a price on what is counted.

The chain with limits (:mod:`harmony.harmonising.counted`) asks for many ways through the
same chain, each with another price on the counted chords. What the chain costs is laid
out once here; a pass adds the prices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class WeighedWay:
    """A way through: regions and chords, its cost without prices, its sums."""

    regions: tuple[int, ...]
    chords: tuple[int, ...]
    cost: float
    sums: tuple[int, ...]


class Passes:
    """A chain's costs over its open chords: those of finite cost in each span.

    ``here[t]`` has shape (regions, open chords); ``gains[t]`` says what each open chord
    adds to each sum, (sums, open chords); ``open[t]`` are their places among all chords.
    """

    def __init__(
        self,
        here: Sequence[FloatArray],
        steps: Sequence[FloatArray],
        change: float,
        gains: Sequence[IntArray],
        is_open: Sequence[BoolArray],
    ) -> None:
        self.open = [np.flatnonzero(row) for row in is_open]
        self.change = change
        self._places = [np.cumsum(row) - 1 for row in is_open]
        self._whole = here, steps, gains
        self.here = [row[:, chords] for row, chords in zip(here, self.open, strict=True)]
        self.gains = [row[:, chords] for row, chords in zip(gains, self.open, strict=True)]
        self.steps = [
            table if len(before) == len(after) == len(table) else table[np.ix_(before, after)]
            for table, before, after in zip(steps, self.open, self.open[1:], strict=False)
        ]
        self._back: dict[int, FloatArray] = {}

    @property
    def is_open(self) -> bool:
        """True where every span has a chord that may stand there."""
        return all(map(len, self.open))

    def narrow(self, kept: Sequence[BoolArray]) -> Passes:
        """The same chain over fewer of its open chords."""
        here, steps, gains = self._whole
        is_open = []
        for row, chords, places in zip(kept, self.open, self._places, strict=True):
            wide = np.zeros(len(places), bool)
            wide[chords[row]] = True
            is_open.append(wide)
        return Passes(here, steps, self.change, gains, is_open)

    def priced(self, prices: Sequence[float]) -> list[FloatArray]:
        """The cost of every open chord with a price on each unit counted."""
        if not any(prices):
            return self.here
        return [
            here + np.array(prices) @ gain for here, gain in zip(self.here, self.gains, strict=True)
        ]

    def forward(self, priced: Sequence[FloatArray]) -> list[FloatArray]:
        """The least cost of every way to each chord in each region, its own cost included."""
        ahead = [priced[0]]
        for table, here in zip(self.steps, priced[1:], strict=True):
            ahead.append(lead_each_on(ahead[-1][None], table, self.change)[0] + here)
        return ahead

    def backward(self, priced: Sequence[FloatArray]) -> list[FloatArray]:
        """The least cost of every way on from each chord in each region, its own left out."""
        onward = [np.zeros_like(priced[-1])]
        for table, here in zip(reversed(self.steps), reversed(priced[1:]), strict=True):
            came = (onward[-1] + here)[None]
            onward.append(lead_each_on(came, self._turned(table), self.change)[0])
        return onward[::-1]

    def _turned(self, table: FloatArray) -> FloatArray:
        known = self._back.get(id(table))
        if known is None:
            known = self._back[id(table)] = np.ascontiguousarray(table.T)
        return known

    def trace(self, ahead: Sequence[FloatArray]) -> tuple[list[int], list[int]]:
        """The cheapest way a forward pass has found: its regions and chords."""
        region, column = divmod(int(ahead[-1].argmin()), ahead[-1].shape[1])
        regions, columns = [region], [column]
        for before, table in zip(reversed(ahead[:-1]), reversed(self.steps), strict=True):
            came = before + table[:, column]
            came = came + self.change * (np.arange(len(came)) != region)[:, None]
            region, column = divmod(int(came.argmin()), came.shape[1])
            regions.append(region)
            columns.append(column)
        chords = [int(row[c]) for row, c in zip(self.open, reversed(columns), strict=True)]
        return regions[::-1], chords

    def weigh(self, regions: Sequence[int], chords: Sequence[int]) -> WeighedWay:
        """Give a way with what it costs and counts."""
        return WeighedWay(
            tuple(regions),
            tuple(chords),
            float(self.costs_along(regions, chords)[-1]),
            tuple(int(one) for one in self.sums_along(chords)[:, -1]),
        )

    def cost_at(self, place: int, region: int, chord: int) -> float:
        """What a chord costs in a region."""
        return float(self.here[place][region, self._places[place][chord]])

    def cost_of_step(self, place: int, before: int, after: int) -> float:
        """What the step between two chords into a span costs, without a change of region."""
        columns = self._places[place - 1][before], self._places[place][after]
        return float(self.steps[place - 1][columns])

    def costs_along(self, regions: Sequence[int], chords: Sequence[int]) -> FloatArray:
        """What a way costs up to and with each span."""
        costs = [self.cost_at(0, regions[0], chords[0])]
        for place in range(1, len(chords)):
            step = self.cost_of_step(place, chords[place - 1], chords[place])
            moved = self.change * (regions[place] != regions[place - 1])
            costs.append(
                costs[-1] + step + moved + self.cost_at(place, regions[place], chords[place])
            )
        return np.array(costs)

    def sums_along(self, chords: Sequence[int]) -> IntArray:
        """What a way counts up to and with each span, (sums, spans)."""
        columns = [places[chord] for places, chord in zip(self._places, chords, strict=True)]
        told = np.stack([gain[:, c] for gain, c in zip(self.gains, columns, strict=True)], axis=1)
        return np.cumsum(told, axis=1)


def lead_each_on(ahead: FloatArray, table: FloatArray, change: float) -> FloatArray:
    """The least cost of coming to each chord in each region, from each of several beginnings.

    In a region only those chords are looked at to which no change from another region
    is cheaper; the rest is the same in all of them.

    Parameters
    ----------
    ahead
        Shape (beginnings, regions, chords).
    table
        What each step costs, (chords, chords after).

    Returns
    -------
    array
        Shape (beginnings, regions, chords after).
    """
    count, width = len(ahead), table.shape[1]
    if ahead.shape[1] == 1:
        led: FloatArray = (ahead[:, 0, :, None] + table).min(axis=1)[:, None]
        return led
    floor = ahead.min(axis=1) + change
    changed = (floor[:, :, None] + table).min(axis=1)
    led = np.repeat(changed[:, None], ahead.shape[1], axis=1).reshape(-1, width)
    rows, chords = np.nonzero((ahead < floor[:, None]).reshape(-1, ahead.shape[2]))
    if len(rows):
        stays = ahead.reshape(-1, ahead.shape[2])[rows, chords][:, None] + table[chords]
        starts = np.flatnonzero(np.diff(rows, prepend=-1))
        least = np.minimum.reduceat(stays, starts, axis=0)
        led[rows[starts]] = np.minimum(led[rows[starts]], least)
    return led.reshape(count, -1, width)
