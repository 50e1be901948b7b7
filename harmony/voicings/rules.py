"""Rules: what a voicing, or a step from one to the next, may not do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.perfects import consecutives_of
from harmony.voicings.steps import Steps

BoolArray = NDArray[np.bool_]


class Rule(Protocol):
    """Says yes or no to every voicing of a chord."""

    @property
    def name(self) -> str:
        """Identifier, for weights, prices and messages."""

    def allows(self, voicings: Voicings) -> BoolArray:
        """True for each voicing the rule lets pass, shape (n,)."""


class StepRule(Protocol):
    """Says yes or no to every step from one chord to the next."""

    @property
    def name(self) -> str:
        """Identifier, for prices and messages."""

    def allows(self, steps: Steps) -> BoolArray:
        """True for each step the rule lets pass, shape (r, c)."""


@dataclass(frozen=True, slots=True)
class WholeChords:
    """Every note of the chord sounds, the fifth included."""

    name: str = "whole chords"

    def allows(self, voicings: Voicings) -> BoolArray:
        """True where no note is left out, shape (n,)."""
        missing = ~voicings.presence
        return np.asarray(missing.sum(axis=1) == 0)


@dataclass(frozen=True, slots=True)
class NoConsecutivePerfects:
    """No two real parts in consecutive perfect fifths, octaves or unisons."""

    name: str = "no consecutive perfects"

    def allows(self, steps: Steps) -> BoolArray:
        """True where no pair of real parts does, shape (r, c)."""
        return np.asarray(consecutives_of(steps) == 0)


@dataclass(frozen=True, slots=True)
class KeepsShape:
    """All voices move by the same interval, give or take `tolerance` semitones."""

    tolerance: int = 1
    name: str = "keep the shape"

    def allows(self, steps: Steps) -> BoolArray:
        """True where the widest and the narrowest move differ by no more, shape (r, c)."""
        moves = steps.moves
        fine: BoolArray = moves.max(axis=0) - moves.min(axis=0) <= self.tolerance
        return fine


@dataclass(frozen=True, slots=True)
class RuleSet:
    """Which rules hold.  Switching one off never makes the best voicing dearer.

    `crossing` is how far in semitones neighbouring voices may cross (0: not at
    all).  `gaps` keeps the ensemble's widest distances between neighbours.
    `is_complete` asks for the notes a chord cannot do without.  `tendency_once`
    forbids doubling an acting leading tone or a chordal seventh.  `keeps_bass`
    puts the chord's bass in the lowest voice.  `doublings` name voices that double
    others at a fixed number of octaves: (voice, voice it doubles, octaves), and
    count with them as one real part.  `steps` are rules on the steps.  `own` are
    further rules on single chords.
    """

    crossing: int = 0
    gaps: bool = True
    is_complete: bool = True
    tendency_once: bool = True
    keeps_bass: bool = True
    doublings: tuple[tuple[str, str, int], ...] = ()
    steps: tuple[StepRule, ...] = ()
    own: tuple[Rule, ...] = ()

    def __post_init__(self) -> None:
        if self.crossing < 0:
            raise ValueError(f"voices cannot cross by {self.crossing} semitones")
