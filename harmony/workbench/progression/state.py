"""What the composer has set at the desk, and how one setting follows another.

Everything here is a frozen value; a transition gives a new one. Undo and redo
go without end because each state is kept whole.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from harmony.pitch.line import Line
from harmony.pitch.spelling import Pitch

FIRST_LETTER = "A"

Place = TypeVar("Place")
Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class PinnedNote:
    """This pitch in this voice, at a place of the text (bar and beat count from 1)."""

    bar: int
    beat: Fraction
    voice: str
    pitch: Pitch

    @property
    def text(self) -> str:
        """The pin as the command line takes it: ``2.1 Tenor=F#3``."""
        parts = self.beat.denominator
        # A half or quarter beat has an exact decimal; a third of one has not.
        beat = f"{float(self.beat):g}" if parts & (parts - 1) == 0 else str(self.beat)
        return f"{self.bar}.{beat} {self.voice}={self.pitch}"

    @property
    def place(self) -> tuple[int, Fraction, str]:
        """What may be pinned only once."""
        return self.bar, self.beat, self.voice


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that decides what the desk shows.

    ``sliders`` and ``terms`` are steps from the preset (0: as it has it); a slider
    or term that is not named stands at 0. ``letter`` is the alternative shown,
    ``chosen`` the (chord, voice) whose costs and other notes are shown. ``ancestry``
    are the names of the keeps this was opened from, oldest first. ``registers`` are
    (voice, (lowest, highest)) where they are not the usual ones, ``loudness``
    (voice, decibels) of playback where it is not 0. ``hides_names`` takes the chord
    names off the notation; ``names`` are ((bar, beat), the composer's own name).
    ``held`` are the notes of the locked bars, all of each. ``given`` are lines that
    voices have in their own rhythm, by the voice's name; ``manner`` names the preset
    of costs where it is not the players' own. ``later`` are registers from a bar on as
    the command line takes them, ``movement`` the kinds of notes between the chords that
    voices are asked for.
    """

    text: str
    ensemble: str
    sliders: tuple[tuple[str, int], ...] = ()
    terms: tuple[tuple[str, int], ...] = ()
    pins: tuple[PinnedNote, ...] = ()
    letter: str = FIRST_LETTER
    chosen: tuple[int, int] | None = None
    ancestry: tuple[str, ...] = ()
    registers: tuple[tuple[str, tuple[Pitch, Pitch]], ...] = ()
    loudness: tuple[tuple[str, int], ...] = ()
    hides_names: bool = False
    names: tuple[tuple[tuple[int, Fraction], str], ...] = ()
    held: tuple[PinnedNote, ...] = ()
    given: tuple[tuple[str, Line], ...] = ()
    manner: str = ""
    later: tuple[str, ...] = ()
    movement: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def locked(self) -> tuple[int, ...]:
        """The bars in which nothing changes, in order."""
        return tuple(sorted({note.bar for note in self.held}))

    @property
    def bound(self) -> tuple[PinnedNote, ...]:
        """Every note that is not left to the search: those of locked bars, then the pins."""
        locked = set(self.locked)
        return (*self.held, *(pin for pin in self.pins if pin.bar not in locked))

    def with_text(self, text: str) -> Choices:
        """Give the choices for another text; a new search begins."""
        return replace(self, text=text, letter=FIRST_LETTER, chosen=None, names=())

    def with_ensemble(self, ensemble: str) -> Choices:
        """Give the choices for other players; a new search begins."""
        return replace(
            self, ensemble=ensemble, letter=FIRST_LETTER, chosen=None, registers=(), loudness=(),
            later=(), movement=(),
        )  # fmt: skip

    def with_register(self, voice: str, register: tuple[Pitch, Pitch] | None) -> Choices:
        """Give the choices with a voice's register, or its usual one; a new search begins."""
        registers = _give(self.registers, voice, register)
        return replace(self, registers=registers, letter=FIRST_LETTER)

    def with_later(self, registers: tuple[str, ...]) -> Choices:
        """Give the choices with these registers from a bar on; a new search begins."""
        return replace(self, later=registers, letter=FIRST_LETTER)

    def with_given(self, voice: str, line: Line | None) -> Choices:
        """Give the choices with a line given to a voice, or none; a new search begins."""
        return replace(self, given=_give(self.given, voice, line), letter=FIRST_LETTER)

    def with_movement(self, voice: str, kinds: tuple[str, ...]) -> Choices:
        """Give the choices with movement asked of a voice, or none; a new search begins."""
        movement = _give(self.movement, voice, kinds or None)
        return replace(self, movement=movement, letter=FIRST_LETTER)

    def with_loudness(self, voice: str, decibels: int) -> Choices:
        """Give the choices with a voice played back louder or softer."""
        return replace(self, loudness=_put(self.loudness, voice, decibels))

    def with_manner(self, manner: str) -> Choices:
        """Give the choices with another preset of costs and rules; a new search begins."""
        return replace(self, manner=manner, letter=FIRST_LETTER)

    def with_slider(self, name: str, step: int) -> Choices:
        """Give the choices with one slider moved; a new search begins."""
        if dict(self.sliders).get(name, 0) == step:
            return self
        return replace(self, sliders=_put(self.sliders, name, step), letter=FIRST_LETTER)

    def with_term(self, name: str, step: int) -> Choices:
        """Give the choices with one term's weight moved; a new search begins."""
        if dict(self.terms).get(name, 0) == step:
            return self
        return replace(self, terms=_put(self.terms, name, step), letter=FIRST_LETTER)

    def with_pin(self, pin: PinnedNote) -> Choices:
        """Give the choices with a note pinned, in place of another pin there."""
        others = tuple(other for other in self.pins if other.place != pin.place)
        return replace(self, pins=(*others, pin), letter=FIRST_LETTER)

    def without_pin(self, pin: PinnedNote) -> Choices:
        """Give the choices with a note unpinned."""
        others = tuple(other for other in self.pins if other.place != pin.place)
        return replace(self, pins=others, letter=FIRST_LETTER)

    def with_fixed(self, notes: tuple[PinnedNote, ...]) -> Choices:
        """Give the choices with all these notes pinned."""
        places = {note.place for note in notes}
        others = tuple(pin for pin in self.pins if pin.place not in places)
        return replace(self, pins=(*others, *notes), letter=FIRST_LETTER)

    def without_pins_at(self, bar: int, beat: Fraction) -> Choices:
        """Give the choices with nothing pinned in a chord."""
        others = tuple(pin for pin in self.pins if (pin.bar, pin.beat) != (bar, beat))
        return replace(self, pins=others, letter=FIRST_LETTER)

    def with_held(self, notes: tuple[PinnedNote, ...]) -> Choices:
        """Give the choices with bars locked; ``notes`` are all the notes of those bars."""
        bars = {note.bar for note in notes}
        others = tuple(note for note in self.held if note.bar not in bars)
        return replace(self, held=(*others, *notes), letter=FIRST_LETTER)

    def without_held(self, bars: Collection[int]) -> Choices:
        """Give the choices with bars no longer locked."""
        others = tuple(note for note in self.held if note.bar not in bars)
        return replace(self, held=others, letter=FIRST_LETTER)

    def with_names_hidden(self, *, hides: bool) -> Choices:
        """Give the choices with the chord names taken off the notation, or put back."""
        return replace(self, hides_names=hides)

    def with_name(self, bar: int, beat: Fraction, name: str) -> Choices:
        """Give the choices with a chord's own name; the usual one where it is empty."""
        return replace(self, names=_give(self.names, (bar, beat), name or None))

    def with_letter(self, letter: str) -> Choices:
        """Give the choices with another alternative shown."""
        return replace(self, letter=letter)

    def with_chosen(self, chosen: tuple[int, int] | None) -> Choices:
        """Give the choices with another note chosen."""
        return replace(self, chosen=chosen)

    def pin_at(self, bar: int, beat: Fraction, voice: str) -> PinnedNote | None:
        """Give the pin of a voice at a place, or None."""
        return next((pin for pin in self.pins if pin.place == (bar, beat, voice)), None)


def _give(
    pairs: tuple[tuple[Place, Value], ...], place: Place, value: Value | None
) -> tuple[tuple[Place, Value], ...]:
    """Give the pairs with this one last, and no other of its place; None takes that away."""
    others = tuple(pair for pair in pairs if pair[0] != place)
    return others if value is None else (*others, (place, value))


def _put(pairs: tuple[tuple[str, int], ...], name: str, step: int) -> tuple[tuple[str, int], ...]:
    kept = {key: value for key, value in pairs if key != name}
    if step:
        kept[name] = step
    return tuple(sorted(kept.items()))
