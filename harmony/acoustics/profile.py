"""How near a voicing comes to the spacing of the harmonic series.

Two measures, both 0 (like the series) to 1, both of one voicing alone, so that
a value never depends on which other voicings are considered:

- the *gap profile*: in the series the distances narrow from the bottom upward.
  What a distance exceeds the one below it by, added up and divided by the span.
- the *series fit*: how far the voicing falls short of the best support that so
  many notes can give to a fundamental on the chord's root (the weights of
  :mod:`harmony.acoustics.fundamental`).
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.fundamental import LOWEST_FUNDAMENTAL, best_sum, support_table

#: Semitones above the root that partials 1, 3, 5, 7, 9 and 11 come near to.
SERIES_CLASSES = frozenset({0, 2, 4, 6, 7, 10})
_MAJOR_THIRD = 4


def has_series_fit(pitch_classes: Iterable[int], root: int) -> bool:
    """Say whether a chord lies in the series of its root, and so can be fitted to it.

    True for major triads, dominant sevenths and ninths and their like: a major
    third above the root and nothing outside partials 1 to 11. False for minor,
    diminished, quartal and clustered sonorities, whose series is another's.
    """
    above = {(one - root) % 12 for one in pitch_classes}
    return _MAJOR_THIRD in above and above <= SERIES_CLASSES


def gap_profile(voicings: ArrayLike) -> NDArray[np.float64]:
    """Give the gap profile of each voicing.

    Parameters
    ----------
    voicings
        MIDI numbers, shape (N, n) or (n,); the order within a row does not
        matter, and notes in unison count once.

    Returns
    -------
    numpy.ndarray
        Shape (N,): 0 where the distances never widen upward, rising to 1.

    >>> gap_profile([[36, 48, 55, 60], [36, 40, 43, 60]]).round(3).tolist()
    [0.0, 0.583]
    """
    ordered = _as_rows(voicings)
    gaps = ordered[:, 1:] - ordered[:, :-1]
    widened = np.zeros(len(gaps))
    below = np.zeros(len(gaps))
    for column in range(gaps.shape[1]):
        gap = gaps[:, column]
        widened += np.where((below > 0) & (gap > below), gap - below, 0.0)
        below = np.where(gap > 0, gap, below)
    span = gaps.sum(axis=1)
    share: NDArray[np.float64] = widened / np.maximum(span, 1)
    return share


def series_fit(voicings: ArrayLike, root: int) -> NDArray[np.float64]:
    """Give how far each voicing lies from the series on its root.

    Parameters
    ----------
    voicings
        MIDI numbers, shape (N, n) or (n,).
    root
        The root as semitones above C; its octave is the one that fits best,
        from C0 up to the lowest note.

    Returns
    -------
    numpy.ndarray
        Shape (N,): 0 for the partials with the most support, 1 for none.
    """
    rows = _as_rows(voicings)
    table = np.concatenate((np.zeros(128), support_table()))
    first = LOWEST_FUNDAMENTAL + (root - LOWEST_FUNDAMENTAL) % 12
    best = np.zeros(len(rows))
    lowest = rows.min(axis=1)
    for fundamental in range(first, int(lowest.max()) + 1, 12):
        support = table[rows - fundamental + 128].sum(axis=1)
        best = np.where(lowest >= fundamental, np.maximum(best, support), best)
    return np.clip(1.0 - best / best_sum(rows.shape[1]), 0.0, 1.0)


def series_profile(
    voicings: ArrayLike, *, root: int | None = None, pitch_classes: Iterable[int] = ()
) -> NDArray[np.float64]:
    """Give the price of each voicing of ONE chord against the harmonic series.

    Call it once per chord with all its candidates::

        profile = series_profile(candidates, root=chord.root.pitch_class,
                                 pitch_classes=chord.pitch_classes)

    The values order voicings of the same chord; between two chords they say
    nothing. They do not depend on which candidates are given, so a rule that
    takes some away changes none of the others.

    Parameters
    ----------
    voicings
        MIDI numbers as sounding, shape (N, n) or (n,), in any order within a row.
    root
        The theoretical root as semitones above C, or None.
    pitch_classes
        What the chord is made of, as semitones above C; taken from the first
        voicing when empty.

    Returns
    -------
    numpy.ndarray
        Shape (N,), 0 (spaced like the series) to 1; dimensionless. The mean of
        gap profile and series fit where :func:`has_series_fit`, else the gap
        profile alone.
    """
    rows = _as_rows(voicings)
    gaps = gap_profile(rows)
    members = set(pitch_classes) or {int(one) % 12 for one in rows[0]} if len(rows) else set()
    if root is None or not has_series_fit(members, root):
        return gaps
    return (gaps + series_fit(rows, root)) / 2.0


def _as_rows(voicings: ArrayLike) -> NDArray[np.int64]:
    # sorted, so that sums come out the same to the last bit in any order of notes
    rows = np.atleast_2d(np.asarray(voicings)).astype(np.int64, copy=False)
    return np.sort(rows, axis=1)
