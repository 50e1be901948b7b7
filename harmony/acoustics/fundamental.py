"""The fundamental that best explains a sonority, which need not be its root.

Every tempered note from C0 up to the lowest note of the chord is tried. A note
that lies on partial k of the candidate, ``deviation`` cents away, supports it by
``k ** -0.3 * exp(-(deviation / 40) ** 2)``; the candidate with the largest sum
wins. The weights are the workbench's own: low partials count most, the
tempered seventh partial (31 cents off) still counts for half, the tempered
eleventh (49 cents) for a fifth. Parncutt's and Terhardt's published weights,
which know no octaves, are in :mod:`harmony.acoustics.root`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.series import MOST_PARTIALS

LOWEST_FUNDAMENTAL = 12  # MIDI, C0: 16.35 Hz, about where a pulse becomes a pitch
WEIGHT_EXPONENT = 0.3
DEVIATION_CENTS = 40.0


@dataclass(frozen=True, slots=True)
class Fundamental:
    """A fundamental and how well it explains the notes.

    ``support`` is 0 (no note lies on a partial) to 1 (as good as any chord of so
    many notes can be); ``midi`` is the tempered note.
    """

    midi: int
    support: float


@cache
def support_table() -> NDArray[np.float64]:
    """Give the support of a note by its distance in semitones above a fundamental.

    Shape (128,): index 0 is the fundamental itself; 0 beyond partial 32.
    """
    table = np.zeros(128)
    for semitones in range(128):
        ratio = 2.0 ** (semitones / 12.0)
        number = max(1, math.floor(ratio + 0.5))
        if number <= MOST_PARTIALS:
            deviation = 1200.0 * math.log2(ratio / number)
            near = math.exp(-((deviation / DEVIATION_CENTS) ** 2))
            table[semitones] = number**-WEIGHT_EXPONENT * near
    table.setflags(write=False)
    return table


@cache
def _best_sums() -> NDArray[np.float64]:
    """Give the largest sum that n different notes can reach, index n."""
    return np.concatenate(([1.0], np.cumsum(np.sort(support_table())[::-1])))


def best_sum(notes: int) -> float:
    """Give the largest support that ``notes`` different notes can add up to."""
    sums = _best_sums()
    return float(sums[min(notes, len(sums) - 1)])


def support_by_fundamental(midi: ArrayLike) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Give every candidate (MIDI, shape (c,)) and its support (shape (c,), 0 to 1).

    ``midi`` holds the distinct notes, shape (n,). A chord below C0 has its own
    lowest note as the only candidate.
    """
    notes = np.unique(np.asarray(midi, dtype=np.int64))
    lowest = int(notes[0])
    candidates = np.arange(min(LOWEST_FUNDAMENTAL, lowest), lowest + 1)
    sums = support_table()[notes[None, :] - candidates[:, None]].sum(axis=1)
    return candidates, sums / best_sum(len(notes))


def find_fundamentals(midi: ArrayLike, count: int = 2) -> tuple[Fundamental, ...]:
    """Give the ``count`` best fundamentals of a sonority, best first.

    Of equally good ones the higher comes first.

    >>> find_fundamentals([43, 50, 59, 65])[0].midi  # G2 D3 B3 F4: G1
    31
    """
    candidates, support = support_by_fundamental(midi)
    order = np.lexsort((-candidates, -np.round(support, 12)))
    return tuple(
        Fundamental(int(candidates[place]), float(support[place])) for place in order[:count]
    )


def support_of(midi: ArrayLike, fundamental: int) -> float:
    """Give the support (0 to 1) that distinct notes give to one fundamental below them."""
    notes = np.unique(np.asarray(midi, dtype=np.int64))
    return float(support_table()[notes - fundamental].sum() / best_sum(len(notes)))


def best_fundamentals(voicings: ArrayLike) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Give the best fundamental of each of many voicings.

    Parameters
    ----------
    voicings
        MIDI numbers, shape (N, n) or (n,); unlike :func:`find_fundamentals` notes
        in unison count each.

    Returns
    -------
    tuple of numpy.ndarray
        MIDI numbers and supports, both of shape (N,).
    """
    rows = np.atleast_2d(np.asarray(voicings, dtype=np.int64))
    lowest = rows.min(axis=1)
    first = min(LOWEST_FUNDAMENTAL, int(lowest.min()))
    candidates = np.arange(first, int(lowest.max()) + 1)
    # row k: the support of a note for the candidates from k semitones below it upward
    padded = np.concatenate((support_table()[::-1], np.zeros(128)))
    upward = np.lib.stride_tricks.sliding_window_view(padded, len(candidates))
    sums = upward[127 + first - rows].sum(axis=1)
    sums[candidates > lowest[:, None]] = -1.0
    # reversed, so that of equals the higher comes first
    place = len(candidates) - 1 - np.round(sums[:, ::-1], 12).argmax(axis=1)
    support = sums[np.arange(len(rows)), place] / best_sum(rows.shape[1])
    return candidates[place], np.minimum(support, 1.0)
