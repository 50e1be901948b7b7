"""Which part and bars of which score are the theme: the first line of desk 2."""

from __future__ import annotations

from typing import Any, Protocol

import ipywidgets

from harmony.workbench.parts.controls import Choice, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.layout import row
from harmony.workbench.scores import list_themes, name_parts, open_score
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.work import bars_to_take


class Desk(Protocol):
    """What the line asks of the desk it belongs to."""

    @property
    def choices(self) -> Choices:
        """Give what is set."""

    def change(self, choices: Choices) -> None:
        """Find and show what other choices ask for."""


class Choosing:
    """Theme, part and bars; ``told`` says what was wrong with a choice. ``box`` is laid out."""

    def __init__(self, desk: Desk, guard: Guard) -> None:
        self._desk = desk
        self._showing = False  # while the desk itself sets the choices
        self.source = Choice(label="Theme", options=list(list_themes()))
        self.part = Choice(label="Part")
        self.bars = Entry(label="Bars (empty: all)", layout={"max_width": "360px"})
        self.told = Message()
        self.box = ipywidgets.VBox(
            [row(self.source, self.part, self.bars, name="hw-top"), self.told]
        )
        self.box.add_class("hw-folded")
        self.source.on_look(guard(self.list_sources))
        self.source.observe(guard(self._take_source), names="value")
        self.part.observe(guard(self._take_part), names="value")
        self.bars.on_submit(Guard(complaining(self.bars))(self._take_bars))

    def list_sources(self) -> None:
        """List the themes that can be chosen now; the sketchbook may hold others than before."""
        self._showing = True
        self.source.options = list(list_themes())
        self._showing = False

    def show(self, choices: Choices) -> None:
        """Stand as is set."""
        self.list_sources()
        parts = name_parts(open_score(choices.source))
        self._showing = True
        self.source.value = choices.source
        self.part.options, self.part.value = parts, parts[int(choices.part or 1) - 1]
        self.part.layout.display = None if len(parts) > 1 else "none"
        self._showing = False
        if self.bars.text != choices.bars:
            self.bars.put(choices.bars)

    def _take_source(self, change: Any) -> None:
        if not self._showing:
            choices = self._desk.choices.with_source(change.new, bars_to_take(change.new))
            self._desk.change(choices)

    def _take_part(self, change: Any) -> None:
        if not self._showing:
            number = change.new.partition(":")[0]
            self._desk.change(self._desk.choices.with_part(number, self.bars.text))

    def _take_bars(self, text: str) -> None:
        choices = self._desk.choices
        self._desk.change(choices.with_part(choices.part, text.strip()))
        self.bars.say("")
