"""Progressions: chords placed in bars and beats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.meter import MeterMap
from harmony.pitch.spelling import PitchName


@dataclass(frozen=True, slots=True)
class Slot:
    """One chord in its place.

    ``bar`` and ``beat`` count from 1 (bar 0: a pickup), ``onset`` and
    ``duration`` are quarters from the first instant. ``chord`` is None for N.C.
    ``key`` is None where none was given. ``span`` is the stretch of the text it was read from,
    (start, end) in characters. ``pedal`` is a name held against the chord, and
    ``pedal_above`` says that it is held on top rather than below.
    """

    bar: int
    beat: Fraction
    onset: Fraction
    duration: Fraction
    key: Key | None
    chord: Chord | None
    span: tuple[int, int] = (0, 0)
    pedal: PitchName | None = None
    pedal_above: bool = False

    def __post_init__(self) -> None:
        if self.duration <= 0:
            raise HarmonyError(f"The chord at bar {self.bar} beat {float(self.beat):g} has no length.")

    @property
    def figure(self) -> str:
        """The chord as written, ``N.C.`` for none."""
        return "N.C." if self.chord is None else self.chord.figure

    @property
    def place(self) -> str:
        """Where it stands, in words: ``bar 3 beat 2``."""
        return f"bar {self.bar} beat {float(self.beat):g}"


@dataclass(frozen=True, slots=True)
class Progression:
    """Chords in order of time, the meters under them and the text they came from."""

    slots: tuple[Slot, ...]
    meters: MeterMap
    text: str = ""

    def __post_init__(self) -> None:
        if not self.slots:
            raise HarmonyError("A progression needs at least one chord.")
        for first, second in zip(self.slots, self.slots[1:], strict=False):
            if second.onset < first.onset + first.duration:
                raise HarmonyError(f"Two chords sound at once at {second.place}.")

    def __iter__(self) -> Iterator[Slot]:
        return iter(self.slots)

    def __len__(self) -> int:
        return len(self.slots)

    @property
    def end(self) -> Fraction:
        """The time in quarters at which the last chord stops."""
        return self.slots[-1].onset + self.slots[-1].duration

    def __str__(self) -> str:
        return self.text
