"""Roughness of simultaneous partials by four published models.

Each takes the partials of everything that sounds: frequencies in Hz and linear
amplitudes, shape (p,) each, in any order. Values are dimensionless, 0 or more,
and only comparable within one model.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.band import critical_bandwidth_hz, hutchinson_knopoff_bandwidth_hz

Array = NDArray[np.float64]

#: Separation of greatest roughness, in critical bandwidths (Plomp and Levelt 1965).
ROUGHEST_BANDS = 0.25
#: Beyond this many critical bandwidths a pair adds nothing (Hutchinson and Knopoff).
CUTOFF_BANDS = 1.2
#: Sethares' fit of the Plomp-Levelt curve (1993).
SETHARES_FALLS = (3.5, 5.75)
SETHARES_WIDTH = (0.24, 0.0207, 18.96)
#: Powers of a pair's level and of the depth of its beats (Vassilakis 2001).
VASSILAKIS_POWERS = (0.1, 3.11)
#: Partials nearer than this many semitones are one partial.
_SAME_SEMITONES = 1e-6


def plomp_levelt_curve(bands: ArrayLike, *, cutoff_bands: float = CUTOFF_BANDS) -> Array:
    """Give the roughness of two equal pure tones ``bands`` critical bandwidths apart.

    ``((y / 0.25) exp(1 - y / 0.25))^2``, 1 at a quarter of the band, and 0 from
    ``cutoff_bands`` on: Mashinter's (2006) formula for Plomp and Levelt's curve.
    """
    y = np.asarray(bands, dtype=np.float64)
    part = y / ROUGHEST_BANDS
    curve: Array = np.where(y > cutoff_bands, 0.0, (part * np.exp(1.0 - part)) ** 2)
    return curve


def sethares_curve(
    difference_hz: ArrayLike,
    lower_hz: ArrayLike,
    *,
    falls: tuple[float, float] = SETHARES_FALLS,
) -> Array:
    """Give the roughness of two pure tones of amplitude 1 (Sethares 1993).

    ``exp(-3.5 s d) - exp(-5.75 s d)`` with ``s = 0.24 / (0.0207 lower + 18.96)``:
    at most 0.180775, where ``s d`` is 0.220639. ``falls`` are the two exponents,
    slow and fast; the author's own routine has 3.51 for the first.
    """
    width, rise, base = SETHARES_WIDTH
    stretched = (
        width
        * np.asarray(difference_hz, dtype=np.float64)
        / (rise * np.asarray(lower_hz, dtype=np.float64) + base)
    )
    slow, fast = falls
    curve: Array = np.exp(-slow * stretched) - np.exp(-fast * stretched)
    return curve


def vassilakis_weight(first: ArrayLike, second: ArrayLike) -> Array:
    """Give the weight of a pair by its amplitudes (Vassilakis 2001).

    ``(a b)^0.1 * 0.5 * (2 min(a, b) / (a + b))^3.11``: the depth of the beats
    counts most, the level little.
    """
    a = np.asarray(first, dtype=np.float64)
    b = np.asarray(second, dtype=np.float64)
    total = a + b
    depth = np.divide(2.0 * np.minimum(a, b), total, out=np.zeros_like(total), where=total > 0)
    loudness, beating = VASSILAKIS_POWERS
    weight: Array = (a * b) ** loudness * 0.5 * depth**beating
    return weight


def plomp_levelt(frequencies_hz: ArrayLike, amplitudes: ArrayLike) -> float:
    """Add up the roughness of neighbouring partials (Plomp and Levelt 1965).

    Amplitudes only say which partials sound; bandwidths are Zwicker and
    Terhardt's (1980), since the authors' own were read from a figure.
    """
    frequencies, _ = merge_partials(frequencies_hz, amplitudes)
    lower, upper = frequencies[:-1], frequencies[1:]
    bands = (upper - lower) / critical_bandwidth_hz((lower + upper) / 2.0)
    return float(plomp_levelt_curve(bands).sum())


def hutchinson_knopoff(frequencies_hz: ArrayLike, amplitudes: ArrayLike) -> float:
    """Give the dissonance of Hutchinson and Knopoff (1978).

    The curve of :func:`plomp_levelt_curve` over all pairs, weighted by the
    product of amplitudes, divided by the sum of squared amplitudes. Coincident
    partials are first made one, their energies added.
    """
    frequencies, levels = merge_partials(frequencies_hz, amplitudes)
    energy = float((levels**2).sum())
    if energy == 0.0:
        return 0.0
    low, high = _pairs(len(frequencies))
    lower, upper = frequencies[low], frequencies[high]
    bands = (upper - lower) / hutchinson_knopoff_bandwidth_hz((lower + upper) / 2.0)
    return float((levels[low] * levels[high] * plomp_levelt_curve(bands)).sum() / energy)


def sethares(
    frequencies_hz: ArrayLike,
    amplitudes: ArrayLike,
    *,
    weigh: Callable[[Array, Array], Array] = np.minimum,
    falls: tuple[float, float] = SETHARES_FALLS,
) -> float:
    """Give the dissonance of Sethares over all pairs of partials.

    ``weigh`` makes a pair's weight from its amplitudes: ``np.minimum`` as in his
    book (2005), ``np.multiply`` as in the article (1993). ``falls`` as in
    :func:`sethares_curve`.
    """
    frequencies, levels = _in_order(frequencies_hz, amplitudes)
    low, high = _pairs(len(frequencies))
    lower = frequencies[low]
    curve = sethares_curve(frequencies[high] - lower, lower, falls=falls)
    return float((weigh(levels[low], levels[high]) * curve).sum())


def vassilakis(frequencies_hz: ArrayLike, amplitudes: ArrayLike) -> float:
    """Give the roughness of Vassilakis (2001) over all pairs, each counted both ways.

    Coincident partials are first made one, their energies added.
    """
    frequencies, levels = merge_partials(frequencies_hz, amplitudes)
    low, high = _pairs(len(frequencies))
    lower = frequencies[low]
    curve = sethares_curve(frequencies[high] - lower, lower)
    return float(2.0 * (vassilakis_weight(levels[low], levels[high]) * curve).sum())


def merge_partials(frequencies_hz: ArrayLike, amplitudes: ArrayLike) -> tuple[Array, Array]:
    """Sort partials upward and make those at one frequency one, energies added.

    Returns frequencies and amplitudes, both of shape (q,), q at most p.
    """
    frequencies, levels = _in_order(frequencies_hz, amplitudes)
    if len(frequencies) < 2:
        return frequencies, levels
    height = 12.0 * np.log2(frequencies)
    starts = np.flatnonzero(np.concatenate(([True], np.diff(height) > _SAME_SEMITONES)))
    return frequencies[starts], np.sqrt(np.add.reduceat(levels**2, starts))


def _in_order(frequencies_hz: ArrayLike, amplitudes: ArrayLike) -> tuple[Array, Array]:
    frequencies = np.asarray(frequencies_hz, dtype=np.float64).ravel()
    levels = np.asarray(amplitudes, dtype=np.float64).ravel()
    sounding = levels > 0
    if not sounding.all():
        frequencies, levels = frequencies[sounding], levels[sounding]
    order = np.argsort(frequencies, kind="stable")
    return frequencies[order], levels[order]


@lru_cache(maxsize=64)
def _pairs(count: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    low, high = np.triu_indices(count, 1)
    return low.astype(np.int64), high.astype(np.int64)
