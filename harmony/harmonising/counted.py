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

from harmony.harmonising.regions import Regions, come_in
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
    """
    if regions is None:
        regions = Regions((), np.zeros((1, nodes.shape[1])), 0.0)
    sizes = [limit.cap + 1 for limit in limits]
    shape = (math.prod(sizes), *regions.costs.shape)
    here = [nodes[place] + regions.costs for place in range(len(nodes))]
    gains = [_gains(limits, place, units[place]) for place in range(len(nodes))]
    ahead = np.full(shape, np.inf)
    back: list[tuple[IntArray, IntArray, IntArray]] = []
    nothing = np.zeros(regions.costs.shape, np.intp)
    book = (np.zeros(shape, np.intp), np.zeros(shape, np.intp), np.zeros(shape, np.intp))
    _enter(ahead, gains[0], 0, here[0], (nothing, nothing), book, limits, sizes)
    for place, table in enumerate(steps, start=1):
        after = np.full(shape, np.inf)
        book = (np.zeros(shape, np.intp), np.zeros(shape, np.intp), np.zeros(shape, np.intp))
        for state in np.flatnonzero(np.isfinite(ahead).any(axis=(1, 2))).tolist():
            best, source = come_in(ahead[state], regions.change)
            ways = best[:, :, None] + table
            came = ways.argmin(axis=1)
            value = np.take_along_axis(ways, came[:, None, :], axis=1)[:, 0] + here[place]
            origin = (np.take_along_axis(source, came, axis=1), came)
            _enter(after, gains[place], state, value, origin, book, limits, sizes)
        back.append(book)
        ahead = after
    ahead = np.where(_is_met(limits, sizes)[:, None, None], ahead, np.inf)
    state, region, chord = map(int, np.unravel_index(int(ahead.argmin()), shape))
    value_found = float(ahead[state, region, chord])
    path, where = [chord], [region]
    for states, sources, chords in reversed(back):
        spot = (state, region, chord)
        state, region, chord = int(states[spot]), int(sources[spot]), int(chords[spot])
        path.append(chord)
        where.append(region)
    return path[::-1], where[::-1], value_found


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
    origin: tuple[IntArray, IntArray],
    book: tuple[IntArray, IntArray, IntArray],
    limits: Sequence[Limit],
    sizes: Sequence[int],
) -> None:
    """Enter the values of chords under the sums they lead to, where they are the least yet.

    ``values`` and both of ``origin`` (regions and chords come from) have shape
    (regions, chords); ``book`` keeps state, region and chord come from.
    """
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
        rows, columns = np.nonzero(values[:, chords] < ahead[target][:, chords])
        spots = (target, rows, chords[columns])
        ahead[spots] = values[spots[1:]]
        book[0][spots] = state
        book[1][spots] = origin[0][spots[1:]]
        book[2][spots] = origin[1][spots[1:]]


def _is_met(limits: Sequence[Limit], sizes: Sequence[int]) -> BoolArray:
    """Which sums keep the lower limits."""
    grids = np.indices(sizes).reshape(len(sizes), -1)
    met = np.ones(grids.shape[1], bool)
    for one, limit in zip(grids, limits, strict=True):
        met &= one >= limit.least
    return met
