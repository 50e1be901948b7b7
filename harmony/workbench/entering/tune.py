"""A melody played in, behind a fold: note by note, and taken as a theme."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import ipywidgets

from harmony.errors import HarmonyError
from harmony.pitch import MeterMap, Theme
from harmony.pitch.meter import Meter
from harmony.workbench.entering.melody import Melody
from harmony.workbench.entering.picture import draw_melody
from harmony.workbench.entering.words import key_names, name_to_key
from harmony.workbench.parts.controls import Choice
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.playing_in import PlayingIn
from harmony.workbench.words import speak_pitch, write_pitch

TITLE = "Play a melody in"
USUAL_TITLE = "Played in"
METERS = ("4/4", "3/4", "2/4", "2/2", "6/8", "9/8", "12/8", "3/8", "5/4", "5/8", "7/8")
_LONGEST = Fraction(64)
_HINT = "No note yet. Choose a length, then play."

#: Receives the melody when it is taken.
TakeTheme = Callable[[Theme], object]


class PlayedMelody:
    """The fold on desk 2. ``box`` is what is laid out there."""

    def __init__(self, take_theme: TakeTheme) -> None:
        self._take_theme = take_theme
        self.key = Choice(label="Spelled in", options=list(key_names()), value="C major")
        self.meter = Choice(label="Meter", options=list(METERS), value=METERS[0])
        self.title = Entry(label="Title", value=USUAL_TITLE)
        self.part = PlayingIn(
            kind="melody", label="Keyboard, C2 to C6, melody", taking="Take it as the theme"
        )
        self.melody = Melody(name_to_key(self.key.value))
        choices = ipywidgets.Box([self.key, self.meter, self.title])
        choices.add_class("hw-line")
        choices.add_class("hw-in-choices")
        folded = Folded(TITLE, choices, self.part)
        self.fold, self.box = folded.fold, folded.box
        self._connect()

    def _connect(self) -> None:
        guard = Guard(complaining(self.part))
        self.fold.observe(guard(lambda _change: self._show()), names="is_open")
        self.part.on_played(guard(self._take))
        self.part.observe(guard(lambda _change: self._show()), names="width")
        self.key.observe(guard(lambda change: self._take_key(change.new)), names="value")
        self.meter.observe(guard(lambda _change: self._show()), names="value")

    # What the composer does.

    def _take_key(self, name: str) -> None:
        self.melody = self.melody.in_key(name_to_key(name))
        self._show()

    def _take(self, content: dict[str, Any]) -> None:
        melody = self.melody
        if "note" in content:
            number = None if content["note"] is None else int(content["note"])
            self.melody = melody.with_step(number, _read_length(content["length"]))
        elif "longer" in content:
            self.melody = melody.lengthened(_read_length(content["longer"]))
        elif "respell" in content:
            self.melody = melody.respelled()
        elif "back" in content:
            if not melody.steps:
                raise HarmonyError("There is nothing to take back.")
            self.melody = melody.without_last()
        elif "take" in content:
            theme = melody.to_theme(MeterMap.steady(self.meter.value), title=self._title)
            self._take_theme(theme)
            self.melody = Melody(melody.key)
        else:
            return
        self._show()

    # What is shown.

    @property
    def _title(self) -> str:
        return self.title.value.strip() or USUAL_TITLE

    def _show(self) -> None:
        if not self.fold.is_open:
            return
        meter = Meter.from_text(self.meter.value)
        last = self.melody.pitches[-1] if self.melody.steps else None
        told, spoken = _HINT, ""
        if self.melody.steps:
            end = self.melody.line.end
            bar, rest = divmod(end, meter.bar_quarters)
            beat = float(meter.quarters_to_beat(rest))
            note = write_pitch(last) if last is not None else "rest"
            told = f"{note}. Next: bar {bar + 1}, beat {beat:g}"
            spoken = speak_pitch(last) if last is not None else "rest"
        picture = draw_melody(self.melody, meter, width=self.part.width)
        self.part.show(picture=picture, told=told, spoken=spoken)


def _read_length(text: object) -> Fraction:
    try:
        length = Fraction(str(text))
    except ValueError as wrong:
        raise HarmonyError(f"{text!r} is not a length in quarters, such as 1 or 0.5.") from wrong
    if not 0 < length <= _LONGEST:
        raise HarmonyError(f"A note lasts up to {_LONGEST} quarters; {text} is not possible.")
    return length
