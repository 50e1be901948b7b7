"""Spelled pitch names and pitches: the letter is part of the meaning."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from harmony.errors import HarmonyError

LETTERS = "CDEFGAB"
LETTER_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
LETTERS_BY_FIFTHS = "FCGDAEB"
MOST_ALTERED = 7  # beyond this a name is surely a fault, not a spelling

_ACCIDENTALS = {"#": 1, "b": -1, "x": 2, "♯": 1, "♭": -1, "♮": 0, "𝄪": 2, "𝄫": -2}
_NAME = re.compile(r"([A-Ga-g])([#b♯♭♮x𝄪𝄫]*)")
_PITCH = re.compile(_NAME.pattern + r"(-?\d{1,2})")


def accidentals_to_alter(signs: str) -> int:
    """Give the semitones that accidental signs raise (above 0) or lower by."""
    return sum(_ACCIDENTALS[sign] for sign in signs)


def alter_to_accidentals(alter: int) -> str:
    """Write an alteration with ``#`` and ``b``, doubled as often as needed."""
    return "#" * alter if alter > 0 else "b" * -alter


def _check_spelling(letter: str, alter: int) -> None:
    if letter not in LETTER_SEMITONES:
        raise HarmonyError(f"{letter!r} is not a note letter; the letters are A to G.")
    if not isinstance(alter, int) or abs(alter) > MOST_ALTERED:
        raise HarmonyError(f"{letter} altered by {alter} is not a spelling a player could read.")


@dataclass(frozen=True, slots=True)
class PitchName:
    """A note name without an octave: letter A-G and ``alter`` in semitones."""

    letter: str
    alter: int = 0

    def __post_init__(self) -> None:
        _check_spelling(self.letter, self.alter)

    @classmethod
    def from_text(cls, text: str) -> PitchName:
        """Read ``F#``, ``Bb``, ``C##``, ``E♭`` (the letter in either case).

        >>> PitchName.from_text("Bb")
        PitchName(letter='B', alter=-1)
        """
        match = _NAME.fullmatch(text.strip())
        if match is None:
            raise HarmonyError(
                f"{text!r} is not a note name; write a letter A to G with # or b, such as F#."
            )
        return cls(match[1].upper(), accidentals_to_alter(match[2]))

    @classmethod
    def from_fifths(cls, fifths: int) -> PitchName:
        """Give the name ``fifths`` perfect fifths above C (flats below 0)."""
        alter, place = divmod(fifths + 1, 7)
        return cls(LETTERS_BY_FIFTHS[place], alter)

    @property
    def fifths(self) -> int:
        """The place on the line of fifths: C 0, G 1, F -1, F# 6, Bb -2."""
        return LETTERS_BY_FIFTHS.index(self.letter) - 1 + 7 * self.alter

    @property
    def step(self) -> int:
        """The letter as a number: C 0 to B 6."""
        return LETTERS.index(self.letter)

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11."""
        return (LETTER_SEMITONES[self.letter] + self.alter) % 12

    def in_octave(self, octave: int) -> Pitch:
        """Give the pitch of this name in an octave (middle C opens octave 4)."""
        return Pitch(self.letter, self.alter, octave)

    def at_midi(self, midi: int) -> Pitch:
        """Give the pitch of this name that sounds MIDI number ``midi``."""
        octave, rest = divmod(midi - LETTER_SEMITONES[self.letter] - self.alter, 12)
        if rest:
            raise HarmonyError(f"{self} does not sound at MIDI number {midi}.")
        return Pitch(self.letter, self.alter, octave - 1)

    def __str__(self) -> str:
        return self.letter + alter_to_accidentals(self.alter)


@lru_cache(maxsize=256)
def name_at_fifths(fifths: int) -> PitchName:
    """Give the name at a place on the line of fifths, kept for the next asking."""
    return PitchName.from_fifths(fifths)


def spell_midi(midi: int, *, around: int = 0) -> Pitch:
    """Spell a MIDI number with the name nearest on the line of fifths to that at ``around``.

    Of a key's tonic it reaches five fifths down and six up: about C (0) from D flat
    to F sharp.

    >>> str(spell_midi(61)), str(spell_midi(66)), str(spell_midi(66, around=-5))
    ('Db4', 'F#4', 'Gb4')
    """
    lowest = around - 5
    return name_at_fifths(lowest + (7 * midi - lowest) % 12).at_midi(midi)


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch: letter, ``alter`` in semitones, octave (C4 is middle C)."""

    letter: str
    alter: int
    octave: int

    def __post_init__(self) -> None:
        _check_spelling(self.letter, self.alter)
        if not -2 <= self.octave <= 12:
            raise HarmonyError(
                f"Octave {self.octave} is beyond hearing; -2 to 12 are accepted, middle C is C4."
            )

    @classmethod
    def from_text(cls, text: str) -> Pitch:
        """Read ``F#4``, ``Bb3``, ``C-1``.

        >>> Pitch.from_text("Bb3").midi
        58
        """
        match = _PITCH.fullmatch(text.strip())
        if match is None:
            raise HarmonyError(
                f"{text!r} is not a pitch; write a name and an octave, such as F#4"
                " (C4 is middle C)."
            )
        return cls(match[1].upper(), accidentals_to_alter(match[2]), int(match[3]))

    @property
    def name(self) -> PitchName:
        """The name without the octave."""
        return PitchName(self.letter, self.alter)

    @property
    def midi(self) -> int:
        """The MIDI number (60 is C4)."""
        return 12 * (self.octave + 1) + LETTER_SEMITONES[self.letter] + self.alter

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11."""
        return self.midi % 12

    @property
    def staff_step(self) -> int:
        """The place on the staff, counted in letters from C0."""
        return 7 * self.octave + LETTERS.index(self.letter)

    def __str__(self) -> str:
        return f"{self.letter}{alter_to_accidentals(self.alter)}{self.octave}"
