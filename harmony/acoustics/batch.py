"""Roughness of many voicings at once, fast.

The same four models as :mod:`harmony.acoustics.roughness`, which stays the
reference: this module agrees with it to 1e-5, of the sum or outright. It is fast because
partials are sorted once, pairs too far apart to matter are never formed, and the
pairs are reckoned in single precision, some tens of thousands at a time: fewer cost
more calls than they save in the processor's cache.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.band import HUTCHINSON_KNOPOFF_WIDTH
from harmony.acoustics.roughness import (
    CUTOFF_BANDS,
    ROUGHEST_BANDS,
    SETHARES_FALLS,
    SETHARES_WIDTH,
    VASSILAKIS_POWERS,
)
from harmony.units import CONCERT_A_HZ, CONCERT_A_MIDI

Array = NDArray[np.float64]
Single = NDArray[np.float32]

#: Pairs are left out where Sethares' stretched difference exceeds this: there
#: his curve has fallen to 8e-7.
_FARTHEST = 4.0
_SAME_RATIO = 1.0 + 6e-8  # a millionth of a semitone
_FAINTEST = 1e-18  # stands for silence where a logarithm is taken
_BOTH_SILENT = 1e-30  # the product of two amplitudes up to here is of silent partials
_PAIRS_AT_ONCE = 100_000


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
    rows = np.arange(0, count * width, width)
    in_row = np.argsort(frequencies_hz, axis=1, kind="stable")
    order = (in_row + rows[:, None]).ravel()
    hz: Array = frequencies_hz.ravel()[order]
    levels: Array = amplitudes.ravel()[order]
    merged, starts = _merge(hz, levels, width)
    energy = np.add.reduceat(merged * merged, rows)
    pairs = _find_pairs(hz, width)
    both = pairs.spread(np.maximum(merged, _FAINTEST))
    knopoff = pairs.sum_hutchinson_knopoff(*both)
    return np.stack(
        (
            _sum_neighbours(hz[starts], np.searchsorted(starts, rows)),
            np.divide(knopoff, energy, out=np.zeros(count), where=energy > 0),
            pairs.sum_sethares(levels),
            pairs.sum_vassilakis(*both),
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


def _sum_neighbours(hz: Array, begins: NDArray[np.intp]) -> Array:
    """Add up Plomp and Levelt's curve over neighbouring partials, row by row.

    ``begins`` is where each row begins in ``hz``.
    """
    apart = np.zeros(len(hz), dtype=np.float32)  # the first of a row has none below it
    apart[1:] = hz[1:] - hz[:-1]
    apart[begins] = 0.0
    khz = hz.astype(np.float32)
    khz -= np.float32(0.5) * apart
    khz *= np.float32(1e-3)
    # critical_bandwidth_hz in single precision
    width = khz * khz
    width *= np.float32(1.4)
    width += np.float32(1.0)
    np.log(width, out=width)
    width *= np.float32(0.69)
    np.exp(width, out=width)
    width *= np.float32(75.0)
    width += np.float32(25.0)
    apart /= width
    apart /= np.float32(ROUGHEST_BANDS)
    summed: Array = np.add.reduceat(_curve(apart), begins, dtype=np.float64)
    return summed


def _curve(part: Single) -> Single:
    """Give Plomp and Levelt's curve of distances in quarters of a critical band."""
    curve: Single = np.exp(np.float32(1.0) - part)
    curve *= part
    curve *= curve
    curve *= part <= np.float32(CUTOFF_BANDS / ROUGHEST_BANDS)
    return curve


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Pairs of partials near enough to matter, of rows of ``width`` partials each.

    ``counts`` says how many pairs each partial is the lower of, ``upper`` is the
    place of each pair's upper partial in the flattened rows, ``bounds`` where each
    row's pairs begin. ``apart_hz`` and ``curve`` (Sethares') are of the pairs,
    ``hz`` of the partials.
    """

    hz: Array
    counts: NDArray[np.intp]
    upper: NDArray[np.intp]
    bounds: NDArray[np.intp]
    apart_hz: Single
    curve: Single

    def spread(self, values: Array) -> tuple[Single, Single]:
        """Give the values of the lower and of the upper partial of each pair."""
        single = values.astype(np.float32)
        return np.repeat(single, self.counts), single.take(self.upper)

    def sum_sethares(self, levels: Array) -> Array:
        """Give Sethares' sum, weighted by the smaller amplitude, shape (N,)."""
        first, second = self.spread(levels)
        np.minimum(first, second, out=first)
        first *= self.curve
        return _sum_rows(first, self.bounds)

    def sum_vassilakis(self, first: Single, second: Single) -> Array:
        """Give Vassilakis' sum, each pair counted both ways, shape (N,)."""
        loudness, beating = VASSILAKIS_POWERS
        product = first * second
        weight = np.minimum(first, second)
        weight /= first + second
        np.log(weight, out=weight)
        weight *= np.float32(beating)
        level = np.log(product)
        level *= np.float32(loudness)
        weight += level
        np.exp(weight, out=weight)
        weight *= self.curve
        if float(product.min(initial=1.0)) <= _BOTH_SILENT:
            weight[product <= np.float32(_BOTH_SILENT)] = 0.0
        # the model's factor of a half and the counting both ways cancel
        summed: Array = 2.0**beating * _sum_rows(weight, self.bounds)
        return summed

    def sum_hutchinson_knopoff(self, first: Single, second: Single) -> Array:
        """Give the weighted sum, not yet divided by the energy, shape (N,)."""
        factor, power = HUTCHINSON_KNOPOFF_WIDTH
        hz = self.hz.astype(np.float32)
        widest = np.exp(np.float32(power) * np.log(hz))
        widest *= np.float32(CUTOFF_BANDS * factor)
        near = np.flatnonzero(self.apart_hz < widest.take(self.upper))
        apart = self.apart_hz.take(near)
        mean_hz = hz.take(self.upper.take(near))
        mean_hz -= np.float32(0.5) * apart
        part = np.log(mean_hz, out=mean_hz)
        part *= np.float32(-power)
        np.exp(part, out=part)
        part *= apart
        part *= np.float32(1.0 / (factor * ROUGHEST_BANDS))
        curve = _curve(part)
        curve *= first.take(near)
        curve *= second.take(near)
        return _sum_rows(curve, np.searchsorted(near, self.bounds))


def _sum_rows(terms: Single, bounds: NDArray[np.intp]) -> Array:
    """Add up the terms of each row in double precision; ``bounds`` is where they begin."""
    # reduceat cannot take an empty last row, nor does it give 0 for empty ones
    summed = np.add.reduceat(np.append(terms, np.float32(0.0)), bounds, dtype=np.float64)
    ends = np.append(bounds[1:], len(terms))
    cleared: Array = np.where(ends > bounds, summed, 0.0)
    return cleared


def _find_pairs(hz: Array, width: int) -> _Pairs:
    """Form the pairs whose Sethares curve is above 8e-7."""
    span, rise, base = SETHARES_WIDTH
    reach = (rise * hz + base) / span
    counts = _count_above(hz.reshape(-1, width), (hz + _FARTHEST * reach).reshape(-1, width))
    begins = np.cumsum(counts) - counts
    upper = np.repeat(np.arange(1, len(hz) + 1) - begins, counts)
    upper += np.arange(len(upper))
    # taken in double precision: single would lose most digits of a small difference
    exact = hz.take(upper)
    exact -= np.repeat(hz, counts)
    apart = exact.astype(np.float32)
    slow, fast = SETHARES_FALLS
    stretched = np.repeat((-slow / reach).astype(np.float32), counts)
    stretched *= apart
    curve = np.exp(stretched)
    stretched *= np.float32(fast / slow)
    curve -= np.exp(stretched, out=stretched)
    return _Pairs(hz, counts, upper, begins[::width], apart, curve)


def _count_above(values: Array, limits: Array) -> NDArray[np.intp]:
    """Count for each value the later ones of its row up to its limit; both rise along rows.

    Values and limits are merged by a sort, which finds two runs a row and is twice as fast
    as a binary search for each limit: a limit stands behind the values up to it and behind
    the limits before it.
    """
    count, width = values.shape
    order = np.concatenate((values, limits), axis=1).argsort(axis=1, kind="stable")
    standing = np.flatnonzero(order >= width)
    return standing - np.arange(1, 2 * count * width, 2)
