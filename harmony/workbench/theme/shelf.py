"""The sketchbook's line at desk 2: keep, open, carry on to desk 3, write a sheet."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.sketchbook import Sketchbook
from harmony.workbench.keeping import say_kept
from harmony.workbench.parts.background import LongSearch
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.guard import saying
from harmony.workbench.parts.layout import button, row
from harmony.workbench.shelf import ThemesShelf
from harmony.workbench.theme.keeping import carry_to_harmonising, keep_result, keep_sheet
from harmony.workbench.theme.work import Work


class Desk(Protocol):
    """What the shelf asks of the desk it belongs to."""

    work: Work

    def list_sources(self) -> None:
        """List the themes that can be chosen now."""

    def open_score(self, name: str) -> None:
        """Make the score of this file name the theme."""


class Shelf(ThemesShelf):
    """What is kept, and the buttons for it; ``box`` is what is laid out."""

    def __init__(self, desk: Desk, sketchbook: Sketchbook, *, name: str) -> None:
        super().__init__(sketchbook, desk.list_sources, name=name)
        self._desk = desk
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
        self.carrying.on_press(self._guard(self._take_carrying))

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
