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
_LETTERS = {"C": 0, "D": 1, "E": 2, "F": 3, "G": 4, "A": 5, "B": 6}
# Spelled steps that are one semitone wider than major or perfect: seconds, fourths, fifths.
_AUGMENTED = {1: 3, 3: 6, 4: 8}


def staff_places(voicings: Voicings) -> NDArray[np.int16]:
    """The place of every note on the staff, in letters from C-1, shape (n, voices).

    A note foreign to the chord counts as the nearest letter below, unaltered.
    """
    letters = [_LETTERS[m.name.letter] for m in voicings.sonority.members]
    alters = [m.name.alter for m in voicings.sonority.members]
    table = np.array([*letters, 0], dtype=np.int16)
    shift = np.array([*alters, 0], dtype=np.int16)
    octave = (voicings.pitches - shift[voicings.members]) // 12
    places = 7 * octave + table[voicings.members]
    foreign = voicings.members < 0
    if foreign.any():
        plain = np.array([0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6], dtype=np.int16)
        pitches = voicings.pitches
        places = np.where(foreign, 7 * (pitches // 12) + plain[pitches % 12], places)
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
        old, new = staff_places(steps.before).T, staff_places(steps.after).T
        for voice in range(steps.voices):
            size = steps.sizes[voice]
            table = self._table(voice, int(size.max(initial=0)))
            total += table[size]
            letters = np.abs(new[voice][None, :] - old[voice][:, None])
            for count, semitones in _AUGMENTED.items():
                total += AWKWARD * ((size == semitones) & (letters == count))
        return total

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
