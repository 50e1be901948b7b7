"""Whether leading tones rise and chordal sevenths fall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.steps import Steps

UNRESOLVED = 4
TO_THE_FIFTH = 1


@dataclass(frozen=True, slots=True)
class Resolution(Term):
    """Tendency notes that do not go where they pull.

    A leading tone rises a semitone, a chordal seventh falls a step, where the next
    chord has the note to go to; either may stay.  In an inner voice a leading
    tone may fall a third to the fifth of the next chord for 1; anything else is 4.
    """

    def pair(self, steps: Steps) -> Amounts:
        """Points, shape (r, c)."""
        total = np.zeros(steps.shape, dtype=np.int16)
        for voice in steps.real_voices:
            total += self._voice_points(steps, voice)
        return total

    def voice_share(self, steps: Steps, voice: int) -> Amounts | None:
        """Points of one real part, shape (r, c)."""
        return self._voice_points(steps, voice) if voice in steps.real_voices else None

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each voice that does not resolve."""
        items = []
        for voice in steps.real_voices:
            amount = int(self._voice_points(steps, voice)[0, 0])
            if amount:
                member = steps.before.sonority.members[int(steps.before.members[0, voice])]
                if member.pull < 0:
                    words = f"{{0}} does not resolve the seventh {member.name}"
                elif amount == TO_THE_FIFTH:
                    words = f"{{0}} lets the leading tone {member.name} fall to the fifth"
                else:
                    words = f"{{0}} does not resolve the leading tone {member.name}"
                items.append(Item((voice,), amount, words))
        return items

    @staticmethod
    def _voice_points(steps: Steps, voice: int) -> Amounts:
        points = np.zeros(steps.shape, dtype=np.int16)
        old, new = steps.before.sonority, steps.after.sonority
        if set(old.pitch_classes) == set(new.pitch_classes):
            return points
        for number, member in enumerate(old.members):
            rows = np.flatnonzero(steps.before.members[:, voice] == number)
            if not member.pull or not len(rows):
                continue
            goals = {1} if member.pull > 0 else {-1, -2}
            reachable = new.pitch_classes
            if voice == 0 and new.has_bass and steps.after.frame.keeps_bass:
                # The bass goes where the chords' text sends it; nobody chose that here.
                reachable = new.pitch_classes[:1]
            if not any((member.pitch_class + goal) % 12 in reachable for goal in goals):
                continue
            move = steps.moves[voice][rows]
            fine = (move == 0) | np.isin(move, list(goals))
            amount = np.where(fine, 0, UNRESOLVED)
            if member.pull > 0 and voice not in (steps.real_voices[0], steps.real_voices[-1]):
                fifths = [i for i, m in enumerate(new.members) if m.role == "fifth"]
                to_fifth = np.isin(steps.after.members[:, voice], fifths)[None, :]
                amount = np.where((move >= -4) & (move <= -3) & to_fifth, TO_THE_FIFTH, amount)
            points[rows] = amount
        return points
