"""How simple a tempered voicing is as a proportion, for many voicings at once.

Tempered intervals are taken as the ratios of
:data:`harmony.acoustics.periodicity.RATIONAL_TUNING`. The numbers themselves are
defined, one interval at a time, in :mod:`harmony.acoustics.ratio`.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.periodicity import (
    FARTHEST_SEMITONES,
    PRIMES,
    interval_powers,
    semitones_to_ratio,
)
from harmony.acoustics.ratio import barlow_indigestibility, tenney_distance

Array = NDArray[np.float64]


@cache
def _tenney_table() -> Array:
    return np.array(
        [tenney_distance(semitones_to_ratio(size)) for size in range(FARTHEST_SEMITONES + 1)]
    )


@cache
def _barlow_table() -> Array:
    """Give the indigestibility of both numbers of each interval, added."""
    table = []
    for size in range(FARTHEST_SEMITONES + 1):
        ratio = semitones_to_ratio(size)
        table.append(
            barlow_indigestibility(ratio.numerator) + barlow_indigestibility(ratio.denominator)
        )
    return np.array(table)


def chord_gradus(voicings: ArrayLike) -> NDArray[np.int64]:
    """Give Euler's degree of agreeableness of each voicing, shape (N,); lower agrees better.

    The ratios are those of the intervals above the lowest note.
    """
    rows = _sorted_rows(voicings)
    powers = interval_powers()[rows - rows[:, :1] + FARTHEST_SEMITONES]
    spread = powers.max(axis=1) - powers.min(axis=1)
    gradus: NDArray[np.int64] = 1 + spread @ (np.array(PRIMES) - 1)
    return gradus


def mean_tenney_distance(voicings: ArrayLike) -> Array:
    """Give the mean of Tenney's harmonic distance over all pairs of notes, shape (N,).

    In octaves (log2); 0 for a single note.
    """
    return _mean_over_pairs(voicings, _tenney_table())


def barlow_chord_harmonicity(voicings: ArrayLike) -> Array:
    """Give the harmonic mean of Barlow's harmonicity over all pairs, shape (N,).

    Infinite for a single note and for unisons alone.
    """
    hardness = _mean_over_pairs(voicings, _barlow_table())
    with np.errstate(divide="ignore"):
        harmonic: Array = 1.0 / hardness
    return harmonic


def _mean_over_pairs(voicings: ArrayLike, table: Array) -> Array:
    rows = _sorted_rows(voicings)
    low, high = _pairs(rows.shape[1])
    if not len(low):
        return np.zeros(len(rows))
    mean: Array = table[rows[:, high] - rows[:, low]].mean(axis=1)
    return mean


@cache
def _pairs(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    low, high = np.triu_indices(count, 1)
    return low, high


def _sorted_rows(voicings: ArrayLike) -> NDArray[np.int64]:
    return np.sort(np.atleast_2d(np.asarray(voicings, dtype=np.int64)), axis=1)
