"""Spelled intervals: how many letters and how many semitones."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import overload

from harmony.errors import HarmonyError
from harmony.pitch.spelling import LETTER_SEMITONES, LETTERS, Pitch, PitchName

#: The major or perfect unison, second, ... seventh: in semitones, and along the line of fifths.
MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
MAJOR_FIFTHS = (0, 2, 4, -1, 1, 3, 5)
_PERFECT = (0, 3, 4)
_TEXT = re.compile(r"(-?)(P|M|m|A{1,7}|d{1,7})(\d{1,3})")


@dataclass(frozen=True, slots=True)
class Interval:
    """A spelled interval: ``steps`` letters and ``semitones``, below 0 downward."""

    steps: int
    semitones: int

    @classmethod
    def from_text(cls, text: str) -> Interval:
        """Read ``P5``, ``m3``, ``A4``, ``d7``, ``M10``; ``-M2`` is downward.

        >>> Interval.from_text("-m3")
        Interval(steps=-2, semitones=-3)
        """
        match = _TEXT.fullmatch(text.strip())
        number = int(match[3]) if match else 0
        if match is None or number < 1:
            raise HarmonyError(f"{text!r} is not an interval; write one as P5, m3, A4 or -M2.")
        octaves, simple = divmod(number - 1, 7)
        perfect = simple in _PERFECT
        kind = match[2]
        if kind in (("M", "m") if perfect else ("P",)):
            raise HarmonyError(f"{text!r} is not an interval: no {number} is called {kind}.")
        change = {"P": 0, "M": 0, "m": -1}.get(kind)
        if change is None:
            change = len(kind) if kind[0] == "A" else -len(kind) - (0 if perfect else 1)
        size = 12 * octaves + MAJOR_SEMITONES[simple] + change
        sign = -1 if match[1] else 1
        return cls(sign * (number - 1), sign * size)

    @classmethod
    def between(cls, low: Pitch, high: Pitch) -> Interval:
        """Measure from ``low`` to ``high`` (negative when it goes down)."""
        return cls(high.staff_step - low.staff_step, high.midi - low.midi)

    @classmethod
    def between_names(cls, low: PitchName, high: PitchName) -> Interval:
        """Measure from one name up to the next place of another (0 to 6 letters)."""
        steps = (high.step - low.step) % 7
        semitones = LETTER_SEMITONES[high.letter] - LETTER_SEMITONES[low.letter]
        if high.step < low.step:
            semitones += 12
        return cls(steps, semitones + high.alter - low.alter)

    @property
    def name(self) -> str:
        """The trade's short name: ``P5``, ``m3``, ``-A4``.

        >>> Interval(3, 6).name
        'A4'
        """
        down = self.steps < 0 or (self.steps == 0 and self.semitones < 0)
        steps, semitones = (-self.steps, -self.semitones) if down else (self.steps, self.semitones)
        octaves, simple = divmod(steps, 7)
        change = semitones - 12 * octaves - MAJOR_SEMITONES[simple]
        if simple in _PERFECT:
            kind = "P" if change == 0 else ("A" * change if change > 0 else "d" * -change)
        elif change in (0, -1):
            kind = "M" if change == 0 else "m"
        else:
            kind = "A" * change if change > 0 else "d" * (-change - 1)
        return f"{'-' if down else ''}{kind}{steps + 1}"

    def __neg__(self) -> Interval:
        return Interval(-self.steps, -self.semitones)

    def __add__(self, other: Interval) -> Interval:
        return Interval(self.steps + other.steps, self.semitones + other.semitones)

    def __str__(self) -> str:
        return self.name


UNISON = Interval(0, 0)


@overload
def transpose(subject: Pitch, interval: Interval) -> Pitch: ...
@overload
def transpose(subject: PitchName, interval: Interval) -> PitchName: ...
def transpose(subject: Pitch | PitchName, interval: Interval) -> Pitch | PitchName:
    """Move a pitch or a name by a spelled interval, keeping the spelling.

    >>> str(transpose(Pitch.from_text("F#4"), Interval.from_text("d5")))
    'C5'
    """
    if isinstance(subject, Pitch):
        octave, place = divmod(subject.staff_step + interval.steps, 7)
        natural = Pitch(LETTERS[place], 0, octave)
        return Pitch(natural.letter, subject.midi + interval.semitones - natural.midi, octave)
    octaves, place = divmod(subject.step + interval.steps, 7)
    letter = LETTERS[place]
    natural_size = LETTER_SEMITONES[letter] - LETTER_SEMITONES[subject.letter] + 12 * octaves
    return PitchName(letter, subject.alter + interval.semitones - natural_size)
