"""The single line: its register, the tune on top, the stillness of inner voices."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.costs.motion import describe_move
from harmony.voicings.steps import Steps
from harmony.voicings.words import count_words

# Points for the size of the top voice's move: a step is best, then a third, then a fourth.
_TOP = (1, 0, 0, 1, 1, 2, 4, 3, 4, 4, 6, 6, 3)
_TOP_WIDER = 6


@dataclass(frozen=True, slots=True)
class Register(Term):
    """Semitones by which voices lie outside the middle of their registers."""

    def single(self, voicings: Voicings) -> Amounts:
        """Semitones outside, shape (n,)."""
        total: Amounts = self._outside(voicings).sum(axis=1, dtype=np.int16)
        return total

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """One item for each voice that lies high or low."""
        items = []
        for voice, amount in enumerate(self._outside(voicings)[0].tolist()):
            if amount:
                is_high = voicings.pitches[0, voice] > voicings.frame.easy[voice][1]
                where = "above" if is_high else "below"
                words = f"{{0}} lies {count_words(amount, 'semitone')} {where} its best register"
                items.append(Item((voice,), amount, words))
        return items

    @staticmethod
    def _outside(voicings: Voicings) -> NDArray[np.int16]:
        if not voicings.frame.easy:
            return np.zeros_like(voicings.pitches)
        low, high = np.array(voicings.frame.easy, dtype=np.int16).T
        outside: NDArray[np.int16] = np.maximum(low - voicings.pitches, 0)
        result: NDArray[np.int16] = outside + np.maximum(voicings.pitches - high, 0)
        return result


@dataclass(frozen=True, slots=True)
class TopLine(Term):
    """The line of the highest voice: steps are free, repeated notes and leaps are not."""

    def pair(self, steps: Steps) -> Amounts:
        """Points, shape (r, c)."""
        table = np.array([*_TOP, _TOP_WIDER], dtype=np.int16)
        result: Amounts = table[np.minimum(steps.sizes[-1], len(_TOP))]
        return result

    def voice_share(self, steps: Steps, voice: int) -> Amounts | None:
        """The same: only the highest voice is charged."""
        return self.pair(steps) if voice == steps.voices - 1 else None

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item where the top voice repeats or leaps."""
        amount = int(self.pair(steps)[0, 0])
        if not amount:
            return []
        move = int(steps.moves[-1, 0, 0])
        told = f"moves {describe_move(move)}" if move else "repeats its note"
        return [Item((steps.voices - 1,), amount, f"{{0}} on top {told}")]


@dataclass(frozen=True, slots=True)
class Stillness(Term):
    """Inner voices that stay on their note; charged only when movement is asked for."""

    def pair(self, steps: Steps) -> Amounts:
        """Count of inner voices that stay, shape (r, c)."""
        total: Amounts = (~steps.has_moved[1:-1]).sum(axis=0, dtype=np.int16)
        return total

    def voice_share(self, steps: Steps, voice: int) -> Amounts | None:
        """1 where an inner voice stays, shape (r, c)."""
        if not 0 < voice < steps.voices - 1:
            return None
        stays: Amounts = (~steps.has_moved[voice]).astype(np.int16)
        return stays

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each inner voice that stays."""
        return [
            Item((voice,), 1, "{0} stays on its note")
            for voice in range(1, steps.voices - 1)
            if not steps.moves[voice, 0, 0]
        ]
