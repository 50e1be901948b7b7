"""The exact chain with limits on how much of it may agree with something.

"Closer to this one" and "less like that one" are limits on a sum along the way: so
much of the length under other chords, no more or no less. The search carries the
sum as a part of its state, so its answer is the cheapest of all ways within the
limits, not one pushed towards them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.spans import Span

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Limit:
    """So many units at least, and at most where said, must lie on counted chords.

    ``counts`` marks the chords counted in each span, shape (spans, chords).
    """

    counts: BoolArray
    least: int
    most: int | None = None

    @property
    def cap(self) -> int:
        """The largest sum that must be told apart."""
        return self.least if self.most is None else max(self.least, self.most + 1)


def units_of(spans: Sequence[Span]) -> tuple[tuple[int, ...], Fraction]:
    """Every span's length in the longest unit that measures all of them, and that unit."""
    common = math.lcm(*(span.duration.denominator for span in spans))
    lengths = [int(span.duration * common) for span in spans]
    step = math.gcd(*lengths)
    return tuple(length // step for length in lengths), Fraction(step, common)


def find_limited(
    nodes: FloatArray,
    steps: Sequence[FloatArray],
    limits: Sequence[Limit],
    units: Sequence[int],
) -> tuple[list[int], float]:
    """The cheapest way through within all limits, one chord a span, and its cost.

    Parameters
    ----------
    nodes, steps
        As for :func:`harmony.harmonising.chain.find_best`.
    limits
        What is counted, each sum held to its limits; at least one.
    units
        The length of every span, in whole numbers.

    Returns
    -------
    path, value
        The value is infinite where no way keeps all limits.
    """
    sizes = [limit.cap + 1 for limit in limits]
    states = math.prod(sizes)
    gains = [_gains(limits, place, units[place]) for place in range(len(nodes))]
    width = nodes.shape[1]
    ahead = np.full((states, width), np.inf)
    _enter(ahead, gains[0], 0, nodes[0], np.arange(width), None, limits, sizes)
    back: list[tuple[IntArray, IntArray]] = []
    for place, table in enumerate(steps, start=1):
        after = np.full((states, width), np.inf)
        came_state = np.zeros((states, width), np.intp)
        came_chord = np.zeros((states, width), np.intp)
        for state in np.flatnonzero(np.isfinite(ahead).any(axis=1)).tolist():
            ways = ahead[state][:, None] + table
            best = ways.argmin(axis=0)
            value = ways[best, np.arange(width)] + nodes[place]
            _enter(after, gains[place], state, value, best, (came_state, came_chord),
                   limits, sizes)  # fmt: skip
        back.append((came_state, came_chord))
        ahead = after
    ahead = np.where(_is_met(limits, sizes)[:, None], ahead, np.inf)
    state, chord = divmod(int(ahead.argmin()), width)
    value = float(ahead[state, chord])
    path = [chord]
    for came_state, came_chord in reversed(back):
        state, chord = int(came_state[state, chord]), int(came_chord[state, chord])
        path.append(chord)
    return path[::-1], value


def _gains(
    limits: Sequence[Limit], place: int, units: int
) -> list[tuple[tuple[int, ...], IntArray]]:
    """The chords of a span grouped by what each adds to the sums."""
    marks = np.stack([limit.counts[place] for limit in limits])
    groups = []
    for pattern in product((False, True), repeat=len(limits)):
        chords = np.flatnonzero((marks == np.array(pattern)[:, None]).all(axis=0))
        if len(chords):
            groups.append((tuple(units * one for one in pattern), chords))
    return groups


def _enter(
    ahead: FloatArray,
    groups: Sequence[tuple[tuple[int, ...], IntArray]],
    state: int,
    values: FloatArray,
    came: IntArray,
    book: tuple[IntArray, IntArray] | None,
    limits: Sequence[Limit],
    sizes: Sequence[int],
) -> None:
    """Enter the values of chords under the sums they lead to, where they are the least yet."""
    sums = np.unravel_index(state, sizes)
    for gain, chords in groups:
        there = [
            min(int(one) + more, size - 1)
            for one, more, size in zip(sums, gain, sizes, strict=True)
        ]
        if any(
            limit.most is not None and one > limit.most
            for one, limit in zip(there, limits, strict=True)
        ):
            continue
        target = int(np.ravel_multi_index(there, sizes))
        better = values[chords] < ahead[target, chords]
        kept = chords[better]
        ahead[target, kept] = values[kept]
        if book is not None:
            book[0][target, kept] = state
            book[1][target, kept] = came[kept]


def _is_met(limits: Sequence[Limit], sizes: Sequence[int]) -> BoolArray:
    """Which sums keep the lower limits."""
    grids = np.indices(sizes).reshape(len(sizes), -1)
    met = np.ones(grids.shape[1], bool)
    for one, limit in zip(grids, limits, strict=True):
        met &= one >= limit.least
    return met
