"""The players of an ensemble: their registers, and how loud each is played back."""

from __future__ import annotations

from collections.abc import Callable

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Players(anywidget.AnyWidget):
    """A line for each player, behind a fold.

    Each of ``items`` has ``name``, ``low`` and ``high`` (the register as it is set),
    ``usual`` (in words, where it was changed) and ``loudness`` (decibels).
    """

    _esm = load_script("players")
    _css = load_style("players")

    items = traitlets.List(traitlets.Dict()).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    tone = traitlets.Enum(("", "fault"), default_value="").tag(sync=True)

    def say(self, message: str, *, tone: str = "") -> None:
        """Show a text below the players; ``tone`` is empty or ``fault``."""
        with self.hold_sync():
            self.message, self.tone = message, tone

    def on_register(self, callback: Callable[[str, str, str], object]) -> None:
        """Call back with (name, lowest, highest) as typed when a register is changed."""
        on_message(self, "register", lambda told: callback(*told))

    def on_loudness(self, callback: Callable[[str, int], object]) -> None:
        """Call back with (name, decibels) when a player is made louder or softer."""
        on_message(self, "loudness", lambda told: callback(*told))
