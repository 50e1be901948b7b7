"""Chord qualities: which degrees above the root, and what the trade calls them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.pitch.interval import MAJOR_FIFTHS, MAJOR_SEMITONES, Interval
from harmony.pitch.spelling import accidentals_to_alter, alter_to_accidentals

_TEXT = re.compile(r"([#b♯♭]*)(\d{1,2})")


@dataclass(frozen=True, slots=True, order=True)
class Degree:
    """A degree above the root: 1 to 15, altered against the major scale on the root.

    ``Degree(7, -1)`` is the minor seventh, written ``b7``.
    """

    number: int
    alter: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.number <= 15:
            raise HarmonyError(f"{self.number} is not a degree of a chord; degrees are 1 to 15.")

    @classmethod
    def from_text(cls, text: str) -> Degree:
        """Read ``5``, ``b7``, ``#11``."""
        match = _TEXT.fullmatch(text.strip())
        if match is None:
            raise HarmonyError(f"{text!r} is not a degree of a chord; write one as 5, b7 or #11.")
        return cls(int(match[2]), accidentals_to_alter(match[1]))

    @property
    def interval(self) -> Interval:
        """The spelled interval above the root."""
        octaves, simple = divmod(self.number - 1, 7)
        return Interval(self.number - 1, 12 * octaves + MAJOR_SEMITONES[simple] + self.alter)

    @property
    def fifths(self) -> int:
        """How many perfect fifths above the root its name lies (below 0: under)."""
        return MAJOR_FIFTHS[(self.number - 1) % 7] + 7 * self.alter

    @property
    def member(self) -> int:
        """The chord member it stands for, folded into an octave: 9 gives 2, 13 gives 6."""
        return (self.number - 1) % 7 + 1

    def __str__(self) -> str:
        return f"{alter_to_accidentals(self.alter)}{self.number}"


@dataclass(frozen=True, slots=True)
class Quality:
    """A named kind of chord: its degrees from the root up.

    ``name`` is the project's own short name (see data/qualities.csv), such as
    ``maj``, ``min``, ``dom7``, ``hdim7``.
    """

    name: str
    degrees: tuple[Degree, ...]

    def __post_init__(self) -> None:
        if not self.degrees:
            raise HarmonyError("A chord quality needs at least one degree.")

    @classmethod
    def from_text(cls, name: str, degrees: str) -> Quality:
        """Build from degrees written with spaces: ``from_text("dom7", "1 3 5 b7")``."""
        return cls(name, tuple(Degree.from_text(part) for part in degrees.split()))
