"""Notes two chords share, and whether they stay where they were."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.steps import Steps


@dataclass(frozen=True, slots=True)
class CommonTones(Term):
    """Upper voices that leave a note which the next chord still has."""

    def pair(self, steps: Steps) -> Amounts:
        """Count of notes left, shape (r, c)."""
        held = np.isin(steps.before.pitches % 12, steps.after.sonority.pitch_classes).T
        left = steps.has_moved[1:] & held[1:, :, None]
        total: Amounts = left.sum(axis=0, dtype=np.int16)
        return total

    def voice_share(self, steps: Steps, voice: int) -> Amounts | None:
        """1 where an upper voice leaves a common note, shape (r, c)."""
        if not voice:
            return None
        held = np.isin(steps.before.pitches[:, voice] % 12, steps.after.sonority.pitch_classes)
        left: Amounts = (steps.has_moved[voice] & held[:, None]).astype(np.int16)
        return left

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each voice that leaves a common note."""
        classes = steps.after.sonority.pitch_classes
        return [
            Item((voice,), 1, "{0} leaves a note the next chord has")
            for voice, move in enumerate(steps.moves[:, 0, 0].tolist())
            if voice and move and int(steps.before.pitches[0, voice]) % 12 in classes
        ]
