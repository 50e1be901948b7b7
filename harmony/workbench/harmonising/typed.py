"""A tune typed in ABC, behind a fold, taken as the tune to harmonise."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets

from harmony.scoring import Score
from harmony.workbench.harmonising.tune import read_typed
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.spacing import Fold

TITLE = "Write a melody"
_BEGINNING = "T:Written\nM:4/4\nL:1/4\nK:D\n"


class TypedTune:
    """The fold with its box. ``box`` is what is laid out on the desk."""

    def __init__(self, take_score: Callable[[Score], object]) -> None:
        self._take_score = take_score
        self.fold = Fold(label=TITLE, is_open=False)
        self.entry = Entry(label="Melody in ABC", value=_BEGINNING, rows=6)
        self.taking = Actions(items=[button("take", "Take it as the tune")])
        self.inside = row(self.entry, self.taking, name="hw-top")
        self.inside.layout.display = "none"
        self.box = ipywidgets.VBox([self.fold, self.inside])
        self.box.add_class("hw-folded")
        guard = Guard(complaining(self.entry))
        self.fold.observe(guard(lambda _change: self._show()), names="is_open")
        self.taking.on_press(guard(lambda _name: self._take()))
        self.entry.on_submit(guard(lambda _text: self._take()))

    def _take(self) -> None:
        self._take_score(read_typed(self.entry.text))
        self.entry.say("It is the tune now; Undo leads back.")

    def _show(self) -> None:
        self.inside.layout.display = None if self.fold.is_open else "none"
