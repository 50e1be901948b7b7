"""A melody entered note by note: a length is chosen, then each note played takes it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch import Line, MeterMap, Note, Theme
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch
from harmony.workbench.entering.spelling import check_numbers, next_name, spell_melody

MOST_NOTES = 2000


@dataclass(frozen=True, slots=True)
class Step:
    """One note (a MIDI number) or rest (None) with its length in quarters.

    ``turns`` counts how often it was respelled by hand.
    """

    number: int | None
    length: Fraction
    turns: int = 0

    def __post_init__(self) -> None:
        if self.number is not None:
            check_numbers([self.number])
        if self.length <= 0:
            raise HarmonyError("A note lasts longer than nothing.")


@dataclass(frozen=True, slots=True)
class Melody:
    """What was entered so far; every change gives another melody."""

    key: Key
    steps: tuple[Step, ...] = ()

    def with_step(self, number: int | None, length: Fraction) -> Melody:
        """Give the melody with a note or rest more."""
        if len(self.steps) >= MOST_NOTES:
            raise HarmonyError(f"A melody has at most {MOST_NOTES} notes; take this one first.")
        return replace(self, steps=(*self.steps, Step(number, length)))

    def without_last(self) -> Melody:
        """Give the melody without its last note or rest."""
        return replace(self, steps=self.steps[:-1])

    def lengthened(self, length: Fraction) -> Melody:
        """Give the melody with its last note or rest lasting longer by ``length``."""
        if not self.steps:
            raise HarmonyError("There is no note to lengthen yet.")
        last = self.steps[-1]
        return replace(self, steps=(*self.steps[:-1], replace(last, length=last.length + length)))

    def respelled(self) -> Melody:
        """Give the melody with its last note under its next name."""
        place = next(
            (p for p in reversed(range(len(self.steps))) if self.steps[p].number is not None), None
        )
        if place is None:
            raise HarmonyError("There is no note to respell yet.")
        step = self.steps[place]
        turned = replace(step, turns=step.turns + 1)
        return replace(self, steps=(*self.steps[:place], turned, *self.steps[place + 1 :]))

    def in_key(self, key: Key) -> Melody:
        """Give the melody spelled in another key."""
        return replace(self, key=key)

    @property
    def pitches(self) -> tuple[Pitch | None, ...]:
        """The spelled pitches; None for rests."""
        found = []
        numbers = [step.number for step in self.steps]
        for step, usual in zip(self.steps, spell_melody(numbers, self.key), strict=True):
            pitch = usual
            for _ in range(step.turns if pitch is not None else 0):
                assert pitch is not None
                pitch = next_name(pitch, self.key)
            found.append(pitch)
        return tuple(found)

    @property
    def line(self) -> Line:
        """The notes and rests in exact time."""
        notes, onset = [], Fraction(0)
        for step, pitch in zip(self.steps, self.pitches, strict=True):
            notes.append(Note(onset, step.length, pitch))
            onset += step.length
        return Line(tuple(notes))

    def to_theme(self, meters: MeterMap, *, title: str = "") -> Theme:
        """Give the theme; rests after the last note fall away.

        Raises
        ------
        HarmonyError
            If no note was entered.
        """
        notes = list(self.line)
        while notes and notes[-1].pitch is None:
            notes.pop()
        if not notes:
            raise HarmonyError("There is no melody yet; play some notes first.")
        return Theme(Line(tuple(notes)), meters, self.key, title=title, source="played in")
