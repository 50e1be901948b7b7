"""Going straight back to the chord before last, where an idiom prices it: found and counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.chain import Chain
from harmony.harmonising.vocabulary import Vocabulary

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]


def return_price(chain: Chain) -> float:
    """What going straight back to the chord before last costs in the idiom, weighed."""
    return chain.weights["syntax"] * float(chain.vocabulary.idiom.table.get("return_cost", 0.0))


def returns_at(vocabulary: Vocabulary, path: Sequence[int]) -> list[bool]:
    """Where a way goes straight back to the chord before last, one value a span."""
    told: list[tuple[int, int]] = []
    found = []
    for choice in path:
        here = (int(vocabulary.roots[choice]), int(vocabulary.kinds[choice]))
        moves = not told or told[-1] != here
        found.append(moves and len(told) > 1 and told[-2] == here)
        if moves:
            told.append(here)
    return found


def find_turning(
    vocabulary: Vocabulary, nodes: FloatArray, steps: Sequence[FloatArray], price: float
) -> tuple[list[int], float]:
    """The cheapest way where going straight back to the chord before last costs ``price``.

    The state is the chord and the last other chord before it (Bellman's recursion over
    the two). Of the ways into a chord only the best from each of two other chords can
    matter, which keeps the search as quick as the plain one and exact.

    Returns
    -------
    path, value
        One chord a span; the value has the price of every return in it.
    """
    families = _Families.of(vocabulary)
    ahead = np.full((families.count + 1, len(families.family)), np.inf)
    ahead[families.count] = nodes[0]
    back: list[_Led] = []
    within: dict[int, FloatArray] = {}
    for place, table in enumerate(steps, start=1):
        if id(table) not in within:
            within[id(table)] = families.steps_within(table)
        led = families.stay(ahead, within[id(table)], families.go_on(ahead, table, price))
        ahead = led.costs + nodes[place]
        back.append(led)
    row, choice = map(int, np.unravel_index(int(ahead.argmin()), ahead.shape))
    value = float(ahead[row, choice])
    path = [choice]
    for led in reversed(back):
        row, choice = int(led.rows[row, choice]), int(led.chords[row, choice])
        path.append(choice)
    return path[::-1], value


class _Led(NamedTuple):
    """What it costs to come to each chord, and from where, (families + 1, chords) each.

    Row p holds ways whose last other chord was of family p, the last row those that have
    stood in one family so far. ``rows`` and ``chords`` say where a way was before.
    """

    costs: FloatArray
    rows: IntArray
    chords: IntArray


@dataclass(frozen=True, slots=True)
class _Families:
    """The chords of a vocabulary by root and quality: going back is to any inversion.

    ``family`` numbers each chord's, (chords,). ``places[f, k]`` is the k-th inversion of
    family f, and the number of all chords where there are fewer; ``is_real`` says where not.
    """

    family: IntArray
    places: IntArray
    is_real: BoolArray
    are_same: BoolArray

    @classmethod
    def of(cls, vocabulary: Vocabulary) -> _Families:
        """Sort the chords of a vocabulary into families."""
        kinds = vocabulary.roots * (int(vocabulary.kinds.max()) + 1) + vocabulary.kinds
        names, family = np.unique(kinds, return_inverse=True)
        width = len(family)
        places = np.full((len(names), int(np.bincount(family).max())), width)
        for name in range(len(names)):
            inside = np.flatnonzero(family == name)
            places[name, : len(inside)] = inside
        return cls(family, places, places < width, family[:, None] == family)

    @property
    def count(self) -> int:
        """How many families there are."""
        return len(self.places)

    def steps_within(self, table: FloatArray) -> FloatArray:
        """The steps between chords of one family, (families, inversions, inversions)."""
        wide = np.pad(table, (0, 1), constant_values=np.inf)
        inside: FloatArray = wide[self.places[:, :, None], self.places[:, None, :]]
        return inside

    def go_on(self, ahead: FloatArray, table: FloatArray, price: float) -> _Led:
        """Lead on to each chord from chords of another family, at a price if it was there before.

        Of the ways to a chord the cheapest will do, or where that one is priced the
        cheapest with another chord before it.
        """
        width = len(self.family)
        first, least, second, rival = _two_least(ahead)
        priced = least[:, None] + price * (first[:, None] == self.family[None, :])
        is_second = rival[:, None] < priced
        entry = np.where(is_second, rival[:, None], priced) + table
        entry[self.are_same] = np.inf
        ways = np.vstack([entry, np.full((1, width), np.inf)])[self.places]
        pick = ways.argmin(axis=1)
        costs = np.full_like(ahead, np.inf)
        costs[:-1] = np.take_along_axis(ways, pick[:, None, :], axis=1)[:, 0]
        chords = np.zeros(ahead.shape, np.intp)
        chords[:-1] = np.minimum(np.take_along_axis(self.places, pick, axis=1), width - 1)
        before = np.where(is_second, second[:, None], first[:, None])
        rows = np.zeros(ahead.shape, np.intp)
        rows[:-1] = before[chords[:-1], np.arange(width)]
        return _Led(costs, rows, chords)

    def stay(self, ahead: FloatArray, within: FloatArray, led: _Led) -> _Led:
        """Lead on within a family too, where that is cheaper; what was before it stays before."""
        held = np.pad(ahead, ((0, 0), (0, 1)), constant_values=np.inf)[:, self.places]
        ways = held[:, :, :, None] + within
        pick = ways.argmin(axis=2)
        costs = np.take_along_axis(ways, pick[:, :, None, :], axis=2)[:, :, 0][:, self.is_real]
        places = np.broadcast_to(self.places, (len(ahead), *self.places.shape))
        came = np.take_along_axis(places, pick, axis=2)[:, self.is_real]
        columns = self.places[self.is_real]
        better = costs < led.costs[:, columns]
        for known, stayed in (
            (led.costs, costs),
            (led.rows, np.arange(len(ahead))[:, None]),
            (led.chords, came),
        ):
            known[:, columns] = np.where(better, stayed, known[:, columns])
        return led


def _two_least(ahead: FloatArray) -> tuple[IntArray, FloatArray, IntArray, FloatArray]:
    """The row of the least of each column and that least, then both of the next, (chords,)."""
    columns = np.arange(ahead.shape[1])
    first = ahead.argmin(axis=0)
    rest = ahead.copy()
    rest[first, columns] = np.inf
    second = rest.argmin(axis=0)
    return first, ahead[first, columns], second, rest[second, columns]
