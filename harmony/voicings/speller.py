"""From MIDI numbers back to spelled pitches: every note keeps the letter of its chord."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from harmony.pitch.spelling import Pitch
from harmony.voicings.candidates import FOREIGN, Voicings
from harmony.voicings.melody import GivenLine


@dataclass(frozen=True, slots=True)
class Speller:
    """Spells the notes of a problem's voicings, and remembers what it has spelled.

    `voices` is their number, `given` the lines whose own spelling stays.
    """

    voices: int
    given: tuple[GivenLine, ...]
    _known: dict[tuple[int, int, int], Pitch] = field(default_factory=dict, repr=False)

    def spell_chord(self, slot: int, own: Voicings, choice: int) -> tuple[Pitch, ...]:
        """The spelled pitches of one voicing of the chord `slot`, top voice first."""
        return tuple(self.spell(slot, own, choice, row) for row in range(self.voices - 1, -1, -1))

    def spell(self, slot: int, own: Voicings, choice: int, row: int) -> Pitch:
        """The spelled pitch of a voice, counted from the lowest, in one voicing."""
        midi = int(own.pitches[choice, row])
        key = slot, row, midi
        if key not in self._known:
            member = int(own.members[choice, row])
            self._known[key] = self._spell_new(slot, own, midi, member, row)
        return self._known[key]

    def spell_prices(
        self, slot: int, own: Voicings, costs: NDArray[np.float64]
    ) -> tuple[dict[Pitch, float], ...]:
        """For each voice, top voice first, every possible note at the least of its `costs`.

        `costs` has one for every voicing; a note that only has infinite ones is left out.
        """
        found = []
        for row in range(self.voices - 1, -1, -1):
            column = own.pitches[:, row]
            prices: dict[Pitch, float] = {}
            for midi in np.unique(column).tolist():
                price = float(costs[column == midi].min())
                if np.isfinite(price):
                    choice = int(np.flatnonzero(column == midi)[0])
                    prices[self.spell(slot, own, choice, row)] = price
            found.append(prices)
        return tuple(found)

    def _spell_new(self, slot: int, own: Voicings, midi: int, member: int, row: int) -> Pitch:
        for line in self.given:
            ruling = line.ruling[slot]
            if line.voice == self.voices - 1 - row and ruling is not None:
                return ruling
        if member == FOREIGN:
            assert own.sonority.pedal is not None
            return own.sonority.pedal.at_midi(midi)
        if own.sonority.fixed:
            return next(pitch for pitch in own.sonority.fixed if pitch.midi == midi)
        return own.sonority.members[member].name.at_midi(midi)
