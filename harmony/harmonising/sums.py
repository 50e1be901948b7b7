"""What is counted carried along a chain: the cheapest way within limits, under a ceiling."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError
from harmony.harmonising.limits import Limit
from harmony.harmonising.passes import Passes, lead_each_on

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
Traced = tuple[list[int], list[int]]  # regions and chords

_MOST_WAYS = 4_000_000  # numbers weighed in one step


class Sums:
    """Sums carried with the chords and regions of a chain, each held to its limit."""

    def __init__(self, passes: Passes, limits: Sequence[Limit]) -> None:
        self._passes = passes
        self._limits = limits

    def find(
        self,
        ahead: Sequence[FloatArray],
        onward: Sequence[FloatArray],
        prices: Sequence[float],
        ceiling: float,
        given: float,
    ) -> Traced | None:
        """The cheapest way within the limits that costs no more than ``ceiling``.

        Every chord is left out through which no way can cost so little; over the rest
        the sums are carried along, those too dear by now left out too.
        """
        passes = self._passes
        sizes = np.array([limit.cap + 1 for limit in self._limits])
        most = ceiling + given
        kept = [to + on <= most for to, on in zip(ahead, onward, strict=True)]
        left = [np.flatnonzero(one.any(axis=0)) for one in kept]
        if not all(map(len, left)):
            return None
        keys = np.zeros((1, len(sizes)), np.intp)
        values: FloatArray = np.zeros((1, len(kept[0]), len(left[0])))
        book: list[tuple[IntArray, FloatArray]] = []
        for place, chords in enumerate(left):
            if place:
                table = passes.steps[place - 1][np.ix_(left[place - 1], chords)]
                if len(values) * table.size > _MOST_WAYS:
                    raise HarmonyError(
                        "The bars are too many for several answers at once; ask for fewer bars."
                    )
                values = lead_each_on(values, table, passes.change)
            values = values + passes.here[place][:, chords]
            keys, values = self._add(keys, values, passes.gains[place][:, chords], sizes)
            going = values + (keys @ np.array(prices))[:, None, None] + onward[place][:, chords]
            values = np.where(going <= most, values, np.inf)
            alive = np.isfinite(values).any(axis=(1, 2))
            keys, values = keys[alive], values[alive]
            if not len(keys):
                return None
            book.append((keys, values))
        ends = np.array(
            [
                all(limit.holds(int(n)) for limit, n in zip(self._limits, key, strict=True))
                for key in keys
            ]
        )
        values = np.where(ends[:, None, None], values, np.inf)
        return self._trace(book, left, sizes, values) if np.isfinite(values).any() else None

    def _add(
        self, keys: IntArray, values: FloatArray, gains: IntArray, sizes: IntArray
    ) -> tuple[IntArray, FloatArray]:
        """The sums with what each chord adds; those over the most allowed are left out."""
        code = np.ravel_multi_index(tuple(np.minimum(gains, sizes[:, None] - 1)), tuple(sizes))
        _, first, kind_of = np.unique(code, return_index=True, return_inverse=True)
        kinds = gains[:, first]
        moved = np.minimum(keys[None] + kinds.T[:, None, :], sizes - 1)  # (kinds, keys, sums)
        flat = np.ravel_multi_index(tuple(np.moveaxis(moved, 2, 0)), tuple(sizes))
        known, place_of = np.unique(flat, return_inverse=True)
        place_of = place_of.reshape(flat.shape)
        after = np.full((len(known), *values.shape[1:]), np.inf)
        for kind in range(kinds.shape[1]):
            chords = np.flatnonzero(kind_of == kind)
            own, into = values[:, :, chords], place_of[kind]
            if len(np.unique(into)) < len(into):
                # Sums at their cap fall together.
                order = np.argsort(into, kind="stable")
                into, first = np.unique(into[order], return_index=True)
                own = np.minimum.reduceat(own[order], first, axis=0)
            after[into[:, None], :, chords] = own.transpose(0, 2, 1)
        found = np.stack(np.unravel_index(known, tuple(sizes)), axis=1)
        for number, limit in enumerate(self._limits):
            if limit.most is not None:
                after[found[:, number] > limit.most] = np.inf
        return found, after

    def _trace(
        self,
        book: Sequence[tuple[IntArray, FloatArray]],
        left: Sequence[IntArray],
        sizes: IntArray,
        values: FloatArray,
    ) -> Traced:
        """Follow the cheapest way back: at each span the one it came by."""
        passes = self._passes
        row, region, chord = map(int, np.unravel_index(int(values.argmin()), values.shape))
        spots = [(region, int(left[-1][chord]))]
        key = book[-1][0][row]
        for place in range(len(book) - 1, 0, -1):
            region, chord = spots[-1]
            keys, costs = book[place - 1]
            leads = np.minimum(keys + passes.gains[place][:, chord], sizes - 1)
            moved = passes.change * (np.arange(costs.shape[1]) != region)
            step = passes.steps[place - 1][left[place - 1], chord] + moved[:, None]
            came = np.where((leads == key).all(axis=1)[:, None, None], costs + step, np.inf)
            row, region, chord = map(int, np.unravel_index(int(came.argmin()), came.shape))
            key = keys[row]
            spots.append((region, int(left[place - 1][chord])))
        spots.reverse()
        chords = [int(row[c]) for row, (_, c) in zip(passes.open, spots, strict=True)]
        return [region for region, _ in spots], chords
