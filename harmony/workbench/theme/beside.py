"""The original beside a theme that was changed: seen, and heard by itself."""

from __future__ import annotations

from uuid import uuid4

import ipywidgets

from harmony.pitch import Theme
from harmony.workbench.parts.controls import Message
from harmony.workbench.parts.player import Player
from harmony.workbench.parts.score import Sheet
from harmony.workbench.theme.picture import draw_result
from harmony.workbench.theme.presenter import USUAL_SPEED, present_notes, present_tune
from harmony.workbench.theme.result import theme_to_result


class Beside:
    """What is laid out in ``box``: nothing, until there is an original to show."""

    def __init__(self) -> None:
        desk = uuid4().hex
        self.said = Message()
        self.sheet = Sheet(desk=desk)
        self.player = Player(desk=desk)
        self.box = ipywidgets.VBox([])
        self._theme: Theme | None = None
        self.sheet.observe(lambda _change: self._paint(), names="width")

    def show(self, original: Theme | None, name: str) -> None:
        """Show the original called so; None where nothing was changed."""
        self._theme = original
        if original is None:
            self.box.children = ()
            return
        self.said.say(f"The original, {name}:")
        self.player.quarters_per_minute = original.quarters_per_minute or USUAL_SPEED
        self.player.tune = present_tune(theme_to_result(original))
        self._paint()
        self.box.children = (self.said, self.sheet, self.player)

    def _paint(self) -> None:
        if self._theme is None:
            return
        result = theme_to_result(self._theme)
        self.sheet.show(
            picture=draw_result(result, width=self.sheet.width),
            notes=present_notes(result),
            under=[],
            chosen=None,
            label="The original. Arrow keys go from note to note.",
        )
