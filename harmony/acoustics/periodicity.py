"""How long a chord's waveform takes to come round: Stolzenburg's periodicity (2015).

Tempered intervals are heard as the simple ratios near them. The period of the
whole, counted in periods of the lowest note, is the least common multiple of the
ratios' denominators. It is *smoothed* by taking each note of the chord in turn
as the one the ratios are measured from, and averaging the logarithms.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: Ratios of the semitones within an octave (Stolzenburg's rational tuning II).
RATIONAL_TUNING = tuple(
    Fraction(text)
    for text in "1 16/15 9/8 6/5 5/4 4/3 7/5 3/2 8/5 5/3 9/5 15/8".split()  # noqa: SIM905
)
#: The primes that occur in those ratios.
PRIMES = (2, 3, 5, 7)
#: The widest interval there is between audible notes.
FARTHEST_SEMITONES = 132


def semitones_to_ratio(semitones: int) -> Fraction:
    """Give the simple ratio of a tempered interval, up (above 0) or down.

    >>> semitones_to_ratio(16), semitones_to_ratio(-5)
    (Fraction(5, 2), Fraction(3, 4))
    """
    octaves, rest = divmod(semitones, 12)
    return RATIONAL_TUNING[rest] * Fraction(2) ** octaves


@cache
def interval_powers() -> NDArray[np.int64]:
    """Give the exponents of 2, 3, 5 and 7 in the ratio of every tempered interval.

    Shape (265, 4), read-only: row ``semitones + 132``, from 132 down to 132 up.
    """
    table = np.zeros((2 * FARTHEST_SEMITONES + 1, len(PRIMES)), dtype=np.int64)
    for row, semitones in enumerate(range(-FARTHEST_SEMITONES, FARTHEST_SEMITONES + 1)):
        ratio = semitones_to_ratio(semitones)
        for place, prime in enumerate(PRIMES):
            for number, sign in ((ratio.numerator, 1), (ratio.denominator, -1)):
                rest = number
                while rest % prime == 0:
                    rest //= prime
                    table[row, place] += sign
    table.setflags(write=False)
    return table


@cache
def _denominators() -> NDArray[np.float64]:
    """Give the exponents in the denominators of those ratios, shape (265, 4)."""
    return np.maximum(-interval_powers(), 0).astype(np.float64)


def log_periodicity(voicings: ArrayLike) -> NDArray[np.float64]:
    """Give the smoothed log2 periodicity of each voicing.

    Parameters
    ----------
    voicings
        MIDI numbers, shape (N, n) or (n,), in any order within a row.

    Returns
    -------
    numpy.ndarray
        Shape (N,), in octaves: 0 where the whole repeats with the lowest note,
        1 where it takes two of its periods (a fifth), and so on.

    >>> log_periodicity([60, 64, 67]).round(3).tolist()
    [2.0]
    """
    rows = np.sort(np.atleast_2d(np.asarray(voicings, dtype=np.int64)), axis=1)
    apart = rows[:, None, :] - rows[:, :, None]  # [voicing, reference, note]
    apart += FARTHEST_SEMITONES
    held = _denominators()
    common = held[apart[:, :, 0]]
    # note by note: a reduction over an axis within the array takes three times as long
    for note in range(1, rows.shape[1]):
        np.maximum(common, held[apart[:, :, note]], out=common)
    sizes = np.log2(PRIMES)
    periods = common @ sizes + (interval_powers() @ sizes)[apart[:, :, 0]]
    mean: NDArray[np.float64] = periods.mean(axis=1)
    return mean
