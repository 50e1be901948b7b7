"""How far the voices move."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.steps import Steps
from harmony.voicings.words import interval_words, with_article

UNEVEN = 4


@dataclass(frozen=True, slots=True)
class Motion(Term):
    """The semitones all voices move, added up (the taxicab size of Cohn and Tymoczko)."""

    def pair(self, steps: Steps) -> Amounts:
        """Semitones moved, shape (r, c)."""
        total: Amounts = steps.sizes.sum(axis=0, dtype=np.int16)
        return total

    def voice_share(self, steps: Steps, voice: int) -> Amounts:
        """Semitones the voice moves, shape (r, c)."""
        size: Amounts = steps.sizes[voice]
        return size

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each voice that moves."""
        return [
            Item((voice,), abs(move), f"{{0}} moves {describe_move(move)}")
            for voice, move in enumerate(steps.moves[:, 0, 0].tolist())
            if move
        ]


def describe_move(move: int) -> str:
    """Tell a move: `a minor third up`."""
    return f"{with_article(interval_words(move))} {'up' if move > 0 else 'down'}"


@dataclass(frozen=True, slots=True)
class Evenness(Term):
    """How unevenly the voices move: what planing avoids.

    Four for each semitone by which a voice's move differs from the lowest voice's,
    and one for each semitone of that voice's own.
    """

    def pair(self, steps: Steps) -> Amounts:
        """Points, shape (r, c)."""
        uneven = np.abs(steps.moves - steps.moves[:1]).sum(axis=0, dtype=np.int16)
        total: Amounts = UNEVEN * uneven + steps.sizes[0]
        return total

    def voice_share(self, steps: Steps, voice: int) -> Amounts:
        """Points of the voice, shape (r, c)."""
        if not voice:
            own: Amounts = steps.sizes[0]
            return own
        uneven: Amounts = UNEVEN * np.abs(steps.moves[voice] - steps.moves[0])
        return uneven

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each voice that leaves the common motion, one for the motion itself."""
        moves = steps.moves[:, 0, 0].tolist()
        lowest = moves[0]
        items = [Item((0,), abs(lowest), f"all move with {{0}}, {describe_move(lowest)}")]
        items += [
            Item((voice,), UNEVEN * abs(move - lowest), "{0} leaves the shape of the chord")
            for voice, move in enumerate(moves)
            if move != lowest
        ]
        return [item for item in items if item.amount]
