"""The sketchbook's line at desk 2: keep, open, carry on to desk 3, write a sheet."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.sketchbook import Sketchbook
from harmony.workbench.keeping import say_kept
from harmony.workbench.parts.background import LongSearch
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.guard import Guard, saying
from harmony.workbench.parts.keeping import Keeping
from harmony.workbench.parts.layout import button, row
from harmony.workbench.theme.keeping import carry_to_harmonising, keep_result, keep_sheet
from harmony.workbench.theme.work import Work


class Desk(Protocol):
    """What the shelf asks of the desk it belongs to."""

    work: Work

    def list_sources(self) -> None:
        """List the themes that can be chosen now."""

    def open_score(self, name: str) -> None:
        """Make the score of this file name the theme."""


class Shelf:
    """What is kept, and the buttons for it; ``box`` is what is laid out."""

    def __init__(self, desk: Desk, sketchbook: Sketchbook, *, name: str) -> None:
        self._desk, self._sketchbook = desk, sketchbook
        self.keeping = Keeping(name=name)
        self.carrying = Actions(
            items=[button("carry", "Carry to desk 3"), button("sheet", "Write a sheet")]
        )
        self.writing = LongSearch(
            lambda said: f"Writing the sheet: {said}.", begins="Writing the sheet."
        )
        self.box = ipywidgets.VBox(
            [row(self.keeping, self.carrying, name="hw-line"), self.writing.box]
        )
        self.box.add_class("hw-folded")
        guard = Guard(saying(self.keeping))
        self.keeping.on_press(guard(self._take_keeping))
        self.keeping.on_look(guard(self.look))
        self.carrying.on_press(guard(self._take_carrying))
        self.keeping.kept = list(sketchbook.names())

    def look(self) -> None:
        """List what the sketchbook holds now; other desks keep there too."""
        self.keeping.kept = list(self._sketchbook.names())
        self._desk.list_sources()

    def tell(self, said: str) -> None:
        """Say what was kept, and list it."""
        self.look()
        self.keeping.say(said)

    def _take_keeping(self, action: str, name: str) -> None:
        if action == "open":
            self.look()
            self._desk.open_score(f"{name}.musicxml")
            self.keeping.say(f"{name} is the theme now; Undo leads back.")
        else:
            self.tell(say_kept(keep_result(self._sketchbook, name, self._desk.work)))

    def _take_carrying(self, action: str) -> None:
        name, work = self.keeping.name, self._desk.work
        if action == "carry":
            self.tell(carry_to_harmonising(self._sketchbook, name, work))
            return
        self.writing.run(
            lambda watch: keep_sheet(self._sketchbook, name, work, watch),
            self.tell,
            saying(self.keeping),
        )
