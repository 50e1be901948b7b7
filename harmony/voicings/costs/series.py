"""How a voicing compares with the harmonic series."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Term

FULL_SCALE = 100
LOWEST_PARTIALS = (1, 2, 3, 4)
PARTIALS = 24


@dataclass(frozen=True, slots=True)
class SeriesProfile(Term):
    """Distance from the spacing of the harmonic series.

    The gaps, from the lowest note up, against the gaps of the series from its
    first to fourth partial, whichever is nearest; for major and dominant chords
    also how far each note lies from a partial of the root.  0 is the best spaced
    voicing of the same chord, 100 the worst, so chords are never compared with
    one another.
    """

    def single(self, voicings: Voicings) -> Amounts:
        """Hundredths between the best and the worst voicing, shape (n,)."""
        if not len(voicings):
            return np.zeros(0, dtype=np.int16)
        distance = profile_distance(voicings)
        least, most = distance.min(), distance.max()
        if most == least:
            return np.zeros(len(voicings), dtype=np.int16)
        result: Amounts = np.rint(FULL_SCALE * (distance - least) / (most - least)).astype(np.int16)
        return result


def profile_distance(voicings: Voicings) -> NDArray[np.float64]:
    """Semitones of distance from the series, before comparison, shape (n,)."""
    heights = np.sort(voicings.pitches.astype(np.float64), axis=1)
    gaps = np.diff(heights, axis=1)
    ladder = 12 * np.log2(np.arange(1, PARTIALS + 1))
    count = gaps.shape[1]
    fits = [np.abs(gaps - np.diff(ladder[b - 1 : b + count])).sum(axis=1) for b in LOWEST_PARTIALS]
    distance: NDArray[np.float64] = np.min(fits, axis=0)
    if not is_in_the_series(voicings):
        return distance
    root = voicings.sonority.root_class
    assert root is not None
    # The lowest note may stand for a partial up to the sixth of the chord's root.
    lowest = heights[:, :1]
    best = np.full(len(heights), np.inf)
    for octaves in (0, 1, 2):
        fundamental = lowest - (lowest - root) % 12 - 12 * octaves
        above = heights - fundamental
        nearest = np.abs(above[:, :, None] - ladder[None, None, :]).min(axis=2)
        best = np.minimum(best, nearest.sum(axis=1))
    result: NDArray[np.float64] = distance + best
    return result


def is_in_the_series(voicings: Voicings) -> bool:
    """True for chords with a major third and perfect fifth over their root."""
    root = voicings.sonority.root_class
    if root is None or not voicings.sonority.is_tertian:
        return False
    above = {(c - root) % 12 for c in voicings.sonority.pitch_classes}
    return {4, 7} <= above and not above & {1, 3, 11}
