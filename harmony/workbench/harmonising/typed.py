"""A tune typed in ABC, behind a fold, taken as the tune to harmonise."""

from __future__ import annotations

from collections.abc import Callable

from harmony.scoring import Score
from harmony.workbench.harmonising.tune import read_typed
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.layout import button, row

TITLE = "Write a melody"
_BEGINNING = "T:Written\nM:4/4\nL:1/4\nK:D\n"


class TypedTune:
    """The fold with its box. ``box`` is what is laid out on the desk."""

    def __init__(self, take_score: Callable[[Score], object]) -> None:
        self._take_score = take_score
        self.entry = Entry(label="Melody in ABC", value=_BEGINNING, rows=6)
        self.taking = Actions(items=[button("take", "Take it as the tune")])
        self.box = Folded(TITLE, row(self.entry, self.taking, name="hw-top")).box
        guard = Guard(complaining(self.entry))
        self.taking.on_press(guard(lambda _name: self._take()))
        self.entry.on_submit(guard(lambda _text: self._take()))

    def _take(self) -> None:
        self._take_score(read_typed(self.entry.text))
        self.entry.say("It is the tune now; Undo leads back.")
