"""How wide the voices stand apart."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.words import interval_words, with_article

CLOSE = 5
OCTAVE = 12
TWELFTH = 19
MINOR_NINTH = 13
NINTH_POINTS = 4
UNISON_POINTS = 2


@dataclass(frozen=True, slots=True)
class Spacing(Term):
    """Width beyond close position, in semitones.

    Between neighbouring upper voices each semitone beyond a fourth counts once and
    beyond an octave three times; above the lowest voice only what exceeds a
    twelfth.  A unison costs two, an upper minor ninth four, save in a chord that
    has a flat ninth or is not built in thirds.
    """

    def single(self, voicings: Voicings) -> Amounts:
        """Points, shape (n,)."""
        gaps = np.abs(np.diff(voicings.real_pitches, axis=1))
        total = self._gap_points(gaps).sum(axis=1)
        if self._ninths_count(voicings):
            for low, high in self._pairs(voicings):
                total += NINTH_POINTS * self._is_ninth(voicings.pitches, low, high)
        result: Amounts = total.astype(np.int16)
        return result

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """One item for each wide gap, unison and minor ninth."""
        real = voicings.frame.real_voices
        gaps = np.abs(np.diff(voicings.real_pitches, axis=1))
        points = self._gap_points(gaps)[0]
        items = []
        for place, (low, high) in enumerate(pairwise(real)):
            if points[place]:
                gap = int(gaps[0, place])
                size = with_article(interval_words(gap))
                words = f"{{1}} stands {size} above {{0}}" if gap else "{1} and {0} in unison"
                items.append(Item((low, high), int(points[place]), words))
        if self._ninths_count(voicings):
            items += [
                Item((low, high), NINTH_POINTS, "minor ninth between {0} and {1}")
                for low, high in self._pairs(voicings)
                if self._is_ninth(voicings.pitches, low, high)[0]
            ]
        return items

    @staticmethod
    def _gap_points(gaps: NDArray[np.int16]) -> NDArray[np.int16]:
        points = np.maximum(gaps - CLOSE, 0) + 2 * np.maximum(gaps - OCTAVE, 0)
        if gaps.shape[1]:
            points[:, 0] = np.maximum(gaps[:, 0] - TWELFTH, 0)
        result: NDArray[np.int16] = points + UNISON_POINTS * (gaps == 0)
        return result

    @staticmethod
    def _ninths_count(voicings: Voicings) -> bool:
        return voicings.sonority.is_tertian and not voicings.sonority.has_flat_ninth

    @staticmethod
    def _pairs(voicings: Voicings) -> list[tuple[int, int]]:
        real = voicings.frame.real_voices
        return [(low, high) for i, low in enumerate(real) for high in real[i + 1 :]]

    @staticmethod
    def _is_ninth(pitches: NDArray[np.int16], low: int, high: int) -> NDArray[np.bool_]:
        gap = pitches[:, high] - pitches[:, low]
        result: NDArray[np.bool_] = (gap >= MINOR_NINTH) & (gap % 12 == 1)
        return result
