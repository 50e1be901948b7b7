"""Roughness of many voicings at once, fast.

The same four models as :mod:`harmony.acoustics.roughness`, which stays the
reference: this module agrees with it to about one part in 100,000. It is fast
because partials are sorted once, pairs too far apart to matter are never formed,
and the pairs are reckoned in single precision, a few thousand at a time, so that
they stay in the processor's cache.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.band import HUTCHINSON_KNOPOFF_WIDTH, critical_bandwidth_hz
from harmony.acoustics.roughness import (
    CUTOFF_BANDS,
    ROUGHEST_BANDS,
    SETHARES_FALLS,
    SETHARES_WIDTH,
    VASSILAKIS_POWERS,
    plomp_levelt_curve,
)
from harmony.units import CONCERT_A_HZ, CONCERT_A_MIDI

Array = NDArray[np.float64]
Single = NDArray[np.float32]

#: Pairs are left out where Sethares' stretched difference exceeds this: there
#: his curve has fallen to 8e-7.
_FARTHEST = 4.0
_SAME_RATIO = 1.0 + 6e-8  # a millionth of a semitone
_FAINTEST = 1e-10  # keeps ratios of amplitudes clear of slow subnormal numbers
_PAIRS_AT_ONCE = 30_000


@dataclass(frozen=True, slots=True)
class Roughness:
    """Roughness of N voicings by four models, each of shape (N,).

    Dimensionless, 0 or more, comparable within one model only.
    """

    plomp_levelt: Array
    hutchinson_knopoff: Array
    sethares: Array
    vassilakis: Array


def measure_roughness(
    voicings: ArrayLike, amplitudes: ArrayLike, *, a4_hz: float = CONCERT_A_HZ
) -> Roughness:
    """Give the roughness of tempered voicings.

    Parameters
    ----------
    voicings
        MIDI numbers (fractions allowed), shape (N, n) or (n,).
    amplitudes
        Linear amplitudes of the partials, shape (p,), (n, p) or (N, n, p).
    a4_hz
        The frequency of A4 in hertz.

    Returns
    -------
    Roughness
        Arrays of shape (N,).
    """
    _keep_memory()
    rows = np.atleast_2d(np.asarray(voicings, dtype=np.float64))
    levels = np.asarray(amplitudes, dtype=np.float64)
    partials = levels.shape[-1]
    full = np.broadcast_to(levels, (*rows.shape, partials))
    bases = a4_hz * 2.0 ** ((rows - CONCERT_A_MIDI) / 12.0)
    frequencies = (bases[:, :, None] * np.arange(1, partials + 1)).reshape(
        len(rows), rows.shape[1] * partials
    )
    flat = full.reshape(frequencies.shape)
    width = frequencies.shape[1]
    if not frequencies.size:
        return Roughness(*np.zeros((4, len(rows))))
    # of all pairs about two sevenths lie near enough to count
    at_once = max(1, _PAIRS_AT_ONCE // max(1, width * width // 7))
    pieces = [
        _measure(frequencies[start : start + at_once], flat[start : start + at_once])
        for start in range(0, len(rows), at_once)
    ]
    return Roughness(*np.concatenate(pieces, axis=1))


@cache
def _keep_memory() -> None:
    """Ask the C library once to keep freed memory instead of handing it back.

    GNU's allocator raises its limits to the size of the largest block it has seen
    freed. Without this every array above 128 KB is mapped and cleared anew, which
    takes longer than the reckoning; elsewhere it does nothing.
    """
    np.empty(16_000_000, dtype=np.uint8)


def _measure(frequencies_hz: Array, amplitudes: Array) -> Array:
    """Give the four models for a few voicings, shape (4, N)."""
    count, width = frequencies_hz.shape
    in_row = np.argsort(frequencies_hz, axis=1, kind="stable")
    order = (in_row + np.arange(0, count * width, width)[:, None]).ravel()
    hz: Array = frequencies_hz.ravel()[order]
    levels: Array = amplitudes.ravel()[order]
    merged, starts = _merge(hz, levels, width)
    energy = np.add.reduceat(merged * merged, np.arange(0, count * width, width))
    pairs = _find_pairs(hz, width)
    knopoff = pairs.sum_hutchinson_knopoff(merged)
    return np.stack(
        (
            _sum_neighbours(hz[starts], starts // width, count),
            np.divide(knopoff, energy, out=np.zeros(count), where=energy > 0),
            pairs.sum_sethares(levels),
            pairs.sum_vassilakis(merged),
        )
    )


def _merge(hz: Array, levels: Array, width: int) -> tuple[Array, NDArray[np.int64]]:
    """Give each group of coincident partials to its first, the rest falling silent.

    Returns amplitudes in the same places, and the places that begin a group.
    """
    is_new = np.empty(len(hz), dtype=np.bool_)
    is_new[1:] = hz[1:] > hz[:-1] * _SAME_RATIO
    is_new[::width] = True
    starts = np.flatnonzero(is_new)
    merged = np.zeros(len(hz))
    merged[starts] = np.sqrt(np.add.reduceat(levels * levels, starts))
    return merged, starts


def _sum_neighbours(hz: Array, row: NDArray[np.int64], count: int) -> Array:
    """Add up Plomp and Levelt's curve over neighbouring partials, row by row."""
    lower, upper = hz[:-1], hz[1:]
    together = row[:-1] == row[1:]
    apart = np.where(together, upper - lower, np.inf)
    bands = apart / critical_bandwidth_hz((lower + upper) / 2.0)
    near = np.flatnonzero(bands < CUTOFF_BANDS)
    return np.asarray(np.bincount(row[near], plomp_levelt_curve(bands[near]), count), np.float64)


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Pairs of partials near enough to matter, of rows of ``width`` partials each.

    ``counts`` says how many pairs each partial is the lower of, ``upper`` is the
    place of each pair's upper partial in the flattened rows, ``bounds`` where each
    row's pairs begin. ``lower_hz``, ``apart_hz`` and ``curve`` (Sethares') are of
    the pairs, ``hz`` of the partials.
    """

    hz: Array
    counts: NDArray[np.intp]
    upper: NDArray[np.intp]
    bounds: NDArray[np.intp]
    lower_hz: Single
    apart_hz: Single
    curve: Single
    width: int

    def sum_sethares(self, levels: Array) -> Array:
        """Give Sethares' sum, weighted by the smaller amplitude, shape (N,)."""
        first, second = self._spread(levels.astype(np.float32))
        return self._sum_rows(np.minimum(first, second) * self.curve)

    def sum_vassilakis(self, merged: Array) -> Array:
        """Give Vassilakis' sum, each pair counted both ways, shape (N,)."""
        loudness, beating = VASSILAKIS_POWERS
        first, second = self._spread(np.maximum(merged, _FAINTEST).astype(np.float32))
        depth = np.minimum(first, second) / (first + second)
        # what is silent is raised to 0, so that it adds nothing
        low, high = self._spread((merged**loudness).astype(np.float32))
        weight = low * high * np.exp(np.float32(beating) * np.log(depth))
        # the model's factor of a half and the counting both ways cancel
        summed: Array = 2.0**beating * self._sum_rows(weight * self.curve)
        return summed

    def sum_hutchinson_knopoff(self, merged: Array) -> Array:
        """Give the weighted sum, not yet divided by the energy, shape (N,)."""
        factor, power = HUTCHINSON_KNOPOFF_WIDTH
        widest = (CUTOFF_BANDS * factor * self.hz**power).astype(np.float32)
        near = np.flatnonzero(self.apart_hz < widest.take(self.upper))
        apart = self.apart_hz.take(near)
        mean_hz = self.lower_hz.take(near) + np.float32(0.5) * apart
        bands = apart * np.exp(np.float32(-power) * np.log(mean_hz)) / np.float32(factor)
        part = bands / np.float32(ROUGHEST_BANDS)
        curve = (part * np.exp(np.float32(1.0) - part)) ** 2
        curve[bands > np.float32(CUTOFF_BANDS)] = 0.0
        first, second = self._spread(merged.astype(np.float32))
        weighted = first.take(near) * second.take(near) * curve
        row = self.upper.take(near) // self.width
        return np.asarray(np.bincount(row, weighted, len(self.bounds)), np.float64)

    def _spread(self, values: Single) -> tuple[Single, Single]:
        """Give the values of the lower and of the upper partial of each pair."""
        return np.repeat(values, self.counts), values.take(self.upper)

    def _sum_rows(self, terms: Single) -> Array:
        if not len(terms):
            return np.zeros(len(self.bounds))
        # reduceat cannot take an empty last row, nor does it give 0 for empty ones
        padded = np.append(terms, np.float32(0.0))
        summed = np.add.reduceat(padded, self.bounds).astype(np.float64)
        ends = np.append(self.bounds[1:], len(terms))
        cleared: Array = np.where(ends > self.bounds, summed, 0.0)
        return cleared


def _find_pairs(hz: Array, width: int) -> _Pairs:
    """Form the pairs whose Sethares curve is above 8e-7."""
    span, rise, base = SETHARES_WIDTH
    reach = (rise * hz + base) / span
    places = np.arange(len(hz))
    # rows lie so far apart on this one axis that no pair crosses from one to another
    shifted = hz + (places // width) * 1e7
    counts = np.searchsorted(shifted, shifted + _FARTHEST * reach) - places - 1
    begins = np.cumsum(counts) - counts
    upper = np.arange(counts.sum()) + np.repeat(places + 1 - begins, counts)
    single = hz.astype(np.float32)
    lower_hz = np.repeat(single, counts)
    apart = single.take(upper) - lower_hz
    slow, fast = SETHARES_FALLS
    stretched = apart * np.repeat((-slow / reach).astype(np.float32), counts)
    curve = np.exp(stretched) - np.exp(stretched * np.float32(fast / slow))
    return _Pairs(hz, counts, upper, begins[::width], lower_hz, apart, curve, width)
