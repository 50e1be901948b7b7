"""Chords played in, behind a fold: shown, spelled, named, and put into the text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import ipywidgets

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch
from harmony.scoring.build import is_numeral
from harmony.workbench.entering.picture import draw_held
from harmony.workbench.entering.reading import Meaning, read_played, read_spelled
from harmony.workbench.entering.spelling import next_name
from harmony.workbench.entering.text import (
    MANNERS,
    NUMERALS,
    SYMBOLS,
    append_chord,
    replace_chord,
    write_meaning,
)
from harmony.workbench.entering.words import (
    key_names,
    name_key,
    name_to_key,
    speak_pitches,
    write_pitches,
)
from harmony.workbench.parts.controls import Choice
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.playing_in import PlayingIn
from harmony.workbench.words import write_signs

TITLE = "Play chords in"
AT_END, IN_PLACE = "at the end", "in place of the chosen chord"
MOST_CHORDS_IN_BAR = 4
_HINT = "Nothing is held."
_NOTHING_TAKEN = "Nothing is held, and the text has changed since a chord was put in."


class Desk(Protocol):
    """What the panel asks of the desk it stands on."""

    def written_text(self) -> str:
        """Give the text in the box."""

    def chosen_chord(self) -> int | None:
        """Give the number of the chord chosen in the notation of that text, or None."""

    def put_text(self, text: str, chosen: int | None) -> None:
        """Put another text in the box, have it voiced, and choose a chord again."""


@dataclass(frozen=True, slots=True)
class _Taken:
    """A text before and after a chord was put into it."""

    before: str
    after: str


class PlayedChords:
    """The fold on desk 1. ``box`` is what is laid out there."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._meanings: tuple[Meaning, ...] = ()
        self._turn = 0
        self._taken: list[_Taken] = []
        self._followed: Progression | None = None
        self._build()
        self._connect()

    def _build(self) -> None:
        self.part = PlayingIn(label="Keyboard, C2 to C6, chords", taking="Put it in")
        self.key = Choice(label="Spelled in", options=list(key_names()), value="C major")
        self.manner = Choice(label="Written as", options=list(MANNERS), value=SYMBOLS)
        counts = [str(count) for count in range(1, MOST_CHORDS_IN_BAR + 1)]
        self.count = Choice(label="Chords to a bar", options=counts, value=counts[0])
        self.where = Choice(label="Put in", options=[AT_END, IN_PLACE], value=AT_END)
        choices = ipywidgets.Box([self.key, self.manner, self.where, self.count])
        choices.add_class("hw-line")
        choices.add_class("hw-in-choices")
        folded = Folded(TITLE, choices, self.part)
        self.fold, self.box = folded.fold, folded.box

    def _connect(self) -> None:
        guard = Guard(complaining(self.part))
        self.fold.observe(guard(lambda _change: self._show()), names="is_open")
        self.part.on_played(guard(self._take))
        self.key.observe(guard(lambda _change: self._read_again()), names="value")
        for choice in (self.manner, self.where):
            choice.observe(guard(lambda _change: self._show()), names="value")

    def follow(self, progression: Progression) -> None:
        """Follow the desk to another text: its last key, and how its chords are written."""
        if progression is self._followed:
            return
        self._followed = progression
        last = progression.slots[-1]
        if last.key is not None:
            name = name_key(last.key)
            if name not in self.key.options:
                self.key.options = [*self.key.options, name]
            self.key.value = name
        if not last.figure.startswith("{"):
            self.manner.value = NUMERALS if is_numeral(last.figure) else SYMBOLS

    # What the composer does.

    def _take(self, content: dict[str, Any]) -> None:
        if "held" in content:
            numbers = [int(number) for number in content["held"]]
            self._meanings = read_played(numbers, self._spelling_key) if numbers else ()
            self._turn = 0
            self._show()
        elif "respell" in content:
            if self._meanings:
                self._turn = (self._turn + 1) % len(self._meanings)
                self._show()
        elif "respell_one" in content:
            self._respell_one(int(content["respell_one"]))
        elif "take" in content:
            self._put_in_or_keep()
        elif "back" in content:
            self._take_back()

    def _respell_one(self, number: int) -> None:
        meaning = self._meaning
        if meaning is None:
            return
        heard = [pitch.midi for pitch in meaning.pitches]
        wanted = number if number in heard else heard[-1]
        pitches = [
            next_name(pitch, self._spelling_key) if pitch.midi == wanted else pitch
            for pitch in meaning.pitches
        ]
        self._meanings = (read_spelled(pitches, self._spelling_key), *self._meanings)
        self._turn = 0
        self._show()

    def _put_in_or_keep(self) -> None:
        """Put the chord in; where that cannot be, it is held as before."""
        try:
            self._put_in()
        except HarmonyError:
            if self._meaning is not None:
                self.part.hold([pitch.midi for pitch in self._meaning.pitches])
            raise

    def _put_in(self) -> None:
        meaning = self._meaning
        if meaning is None:
            raise HarmonyError("Nothing is held; play a chord first.")
        before, place = self._desk.written_text(), None
        if self.where.value == IN_PLACE:
            place = self._desk.chosen_chord()
            if place is None:
                raise HarmonyError("Choose a chord in the notation first; this one replaces it.")
            after = replace_chord(
                before, place, meaning, self._spelling_key, manner=self.manner.value
            )
        else:
            after = append_chord(
                before, meaning, self._spelling_key,
                manner=self.manner.value, chords_in_bar=int(self.count.value),
            )  # fmt: skip
        self._taken.append(_Taken(before, after))
        self._meanings, self._turn = (), 0
        self._show()
        self._desk.put_text(after, place)

    def _take_back(self) -> None:
        if not self._taken or self._desk.written_text() != self._taken[-1].after:
            raise HarmonyError(_NOTHING_TAKEN)
        self._desk.put_text(self._taken.pop().before, None)

    def _read_again(self) -> None:
        if self._meaning is not None:
            numbers = [pitch.midi for pitch in self._meaning.pitches]
            self._meanings, self._turn = read_played(numbers, self._spelling_key), 0
        self._show()

    # What is shown.

    @property
    def _spelling_key(self) -> Key:
        return name_to_key(self.key.value)

    @property
    def _meaning(self) -> Meaning | None:
        return self._meanings[self._turn] if self._meanings else None

    def _show(self) -> None:
        if not self.fold.is_open:
            return
        meaning = self._meaning
        pitches: tuple[Pitch, ...] = meaning.pitches if meaning else ()
        told, spoken = _HINT, ""
        if meaning is not None:
            word = write_meaning(meaning, self._spelling_key, manner=self.manner.value)
            notes = write_pitches(pitches)
            is_own = word.startswith("{")
            told = notes if is_own else f"{write_signs(word)}\n{notes}"
            said = "A sonority of your own" if is_own else write_signs(word)
            spoken = f"{said}: {speak_pitches(pitches)}"
        self.part.show(picture=draw_held(pitches, self._spelling_key), told=told, spoken=spoken)
