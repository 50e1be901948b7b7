"""Progressions: chords placed in bars and beats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from harmony.chords.chord import Chord
from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.meter import MeterMap, say_place
from harmony.pitch.spelling import PitchName
from harmony.showing import Shown, provider
from harmony.units import quarters_to_json


@dataclass(frozen=True, slots=True)
class Slot:
    """One chord in its place.

    ``bar`` and ``beat`` count from 1 (bar 0: a pickup), ``onset`` and
    ``duration`` are quarters from the first instant. ``chord`` is None for N.C.
    ``key`` is None where none was given. ``span`` is the stretch of the text it
    was read from, (start, end) in characters; where a chord was written does not
    make it another chord, so it is left out of comparisons. ``pedal`` is a name
    held against the chord, and ``pedal_above`` says that it is held on top
    rather than below.
    """

    bar: int
    beat: Fraction
    onset: Fraction
    duration: Fraction
    key: Key | None
    chord: Chord | None
    span: tuple[int, int] = field(default=(0, 0), compare=False)
    pedal: PitchName | None = None
    pedal_above: bool = False

    def __post_init__(self) -> None:
        if self.duration.numerator <= 0:
            raise HarmonyError(f"The chord at {self.place} has no length.")

    @property
    def figure(self) -> str:
        """The chord as written, ``N.C.`` for none."""
        return "N.C." if self.chord is None else self.chord.figure

    @property
    def place(self) -> str:
        """Where it stands, in words: ``bar 3 beat 2``."""
        return say_place(self.bar, self.beat)

    @property
    def bass(self) -> PitchName | None:
        """The lowest name that sounds: a pedal below, else the chord's own bass."""
        if self.pedal is not None and not self.pedal_above:
            return self.pedal
        return None if self.chord is None else self.chord.bass

    @property
    def sounding(self) -> tuple[str, ...]:
        """What sounds, bass first: names, or pitches where the composer fixed them."""
        if self.chord is None:
            names = []
        elif self.chord.fixed:
            names = [str(pitch) for pitch in self.chord.fixed]
        else:
            names = [str(name) for name in self.chord.names]
        if self.pedal is None:
            return tuple(names)
        held = str(self.pedal)
        names = [name for name in names if name != held]
        return (*names, held) if self.pedal_above else (held, *names)

    def to_json(self) -> dict[str, Any]:
        """Give the slot as ``harmony parse --json`` prints it."""
        chord = self.chord
        data: dict[str, Any] = {
            "bar": self.bar,
            "beat": quarters_to_json(self.beat),
            "offset": quarters_to_json(self.onset),
            "duration": quarters_to_json(self.duration),
            "key": None if self.key is None else str(self.key),
            "figure": self.figure,
            "root": None if chord is None else str(chord.root),
            "quality": None if chord is None else chord.quality.name,
            "bass": None if self.bass is None else str(self.bass),
            "pitches": list(self.sounding),
        }
        if self.pedal is not None:
            data["pedal"] = str(self.pedal)
        return data


def _starts_within(second: Slot, first: Slot) -> bool:
    onset, start, length = second.onset, first.onset, first.duration
    if onset.denominator == start.denominator == length.denominator == 1:
        # Whole quarters, the usual case, at a third of the price of fractions.
        return onset.numerator < start.numerator + length.numerator
    return onset < start + length


def _refuse_others(alternative: int) -> None:
    if alternative != 1:
        raise HarmonyError(
            f"A progression as typed has one alternative only; {alternative} is not among them,"
            " 1 is accepted."
        )


@dataclass(frozen=True, slots=True)
class Progression(Shown):
    """Chords in order of time, the meters under them and the text they came from.

    ``str()`` writes it out in full; read again, that gives an equal progression.
    ``text`` is what it was read from and is left out of comparisons.
    """

    slots: tuple[Slot, ...]
    meters: MeterMap
    text: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        if not self.slots:
            raise HarmonyError("A progression needs at least one chord.")
        for first, second in zip(self.slots, self.slots[1:], strict=False):
            if _starts_within(second, first):
                raise HarmonyError(f"Two chords sound at once at {second.place}.")

    def __iter__(self) -> Iterator[Slot]:
        return iter(self.slots)

    def __len__(self) -> int:
        return len(self.slots)

    @property
    def end(self) -> Fraction:
        """The time in quarters at which the last chord stops."""
        return self.slots[-1].onset + self.slots[-1].duration

    def to_json(self) -> dict[str, Any]:
        """Give the chords as ``harmony parse --json`` prints them."""
        return {"slots": [slot.to_json() for slot in self.slots]}

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:
        """Give one row a chord; a progression has one alternative only."""
        _refuse_others(alternative)
        return [{**slot.to_json(), "pitches": " ".join(slot.sounding)} for slot in self.slots]

    def to_score(self, alternative: int = 1) -> Any:
        """Give the chords as block chords on two staves."""
        _refuse_others(alternative)
        return provider("progression_score")(self)

    def __str__(self) -> str:
        from harmony.chords.writing import write_progression

        return write_progression(self)
