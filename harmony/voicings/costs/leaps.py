"""Leaps, and the intervals that are awkward to sing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.costs.motion import describe_move
from harmony.voicings.steps import Steps

FREE_UPPER = 4
FREE_BASS = 7
AWKWARD = 3
# Spelled steps that are one semitone wider than major or perfect: seconds, fourths, fifths.
_AUGMENTED = {1: 3, 3: 6, 4: 8}


def staff_places(voicings: Voicings) -> NDArray[np.int16]:
    """The place of every note on the staff, in letters from C-1, shape (n, voices).

    A note foreign to the chord counts as the nearest letter below, unaltered.
    """
    return place_pitches(voicings, voicings.pitches)


def place_pitches(voicings: Voicings, pitches: NDArray[np.integer]) -> NDArray[np.int16]:
    """The places on the staff of pitches spelled as in a chord, in letters from C-1."""
    letters = np.array([0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6], dtype=np.int16)
    alters = np.array([0, 1, 0, 1, 0, 0, 1, 0, 1, 0, 1, 0], dtype=np.int16)
    for member in reversed(voicings.sonority.members):
        letters[member.pitch_class] = member.name.step
        alters[member.pitch_class] = member.name.alter
    classes = pitches % 12
    places: NDArray[np.int16] = 7 * ((pitches - alters[classes]) // 12) + letters[classes]
    return places.astype(np.int16)


@dataclass(frozen=True, slots=True)
class Leaps(Term):
    """Semitones beyond a third (in the lowest voice beyond a fifth, octaves free).

    Three more for a seventh, for more than an octave, and for an augmented
    second, fourth or fifth as spelled.
    """

    def pair(self, steps: Steps) -> Amounts:
        """Points, shape (r, c)."""
        total = np.zeros(steps.shape, dtype=np.int16)
        if not total.size:
            return total
        for voice in range(steps.voices):
            total += self.voice_share(steps, voice)
        return total

    def voice_share(self, steps: Steps, voice: int) -> Amounts:
        """Points of one voice, shape (r, c)."""
        # A voice has few pitches, so the points of every move are tabled first.
        old, new = steps.before.pitches[:, voice], steps.after.pitches[:, voice]
        heights = np.arange(old.min(), old.max() + 1), np.arange(new.min(), new.max() + 1)
        size = np.abs(heights[1] - heights[0][:, None])
        places = [
            place_pitches(own, pitch)
            for own, pitch in zip((steps.before, steps.after), heights, strict=True)
        ]
        letters = np.abs(places[1] - places[0][:, None])
        points = self._table(voice, int(size.max()))[size]
        for count, semitones in _AUGMENTED.items():
            points += np.int16(AWKWARD) * ((size == semitones) & (letters == count))
        share: Amounts = points[old - heights[0][0]].take(new - heights[1][0], axis=1)
        return share

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each voice that leaps."""
        items = []
        old, new = staff_places(steps.before)[0], staff_places(steps.after)[0]
        for voice, move in enumerate(steps.moves[:, 0, 0].tolist()):
            points = int(self._table(voice, abs(move))[abs(move)])
            letters = abs(int(new[voice]) - int(old[voice]))
            augmented = _AUGMENTED.get(letters) == abs(move)
            if augmented:
                points += AWKWARD
                name = {1: "second", 3: "fourth", 4: "fifth"}[letters]
                way = "up" if move > 0 else "down"
                items.append(Item((voice,), points, f"{{0}} leaps an augmented {name} {way}"))
            elif points:
                items.append(Item((voice,), points, f"{{0}} leaps {describe_move(move)}"))
        return items

    @staticmethod
    def _table(voice: int, largest: int) -> NDArray[np.int16]:
        size = np.arange(largest + 1, dtype=np.int16)
        points = np.maximum(size - (FREE_UPPER if voice else FREE_BASS), 0)
        points += AWKWARD * np.isin(size, (10, 11)) + AWKWARD * (size > 12)
        if not voice and largest >= 12:
            points[12] = 0
        return points.astype(np.int16)
