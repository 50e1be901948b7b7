"""Keeping under a name, and opening what was kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Keeping(anywidget.AnyWidget):
    """A name with Keep, and the keeps with Open."""

    _esm = load_script("keeping")
    _css = load_style("keeping")

    name = traitlets.Unicode().tag(sync=True)
    kept = traitlets.List(traitlets.Unicode()).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    tone = traitlets.Enum(("", "fault"), default_value="").tag(sync=True)

    def __init__(self, **traits: Any) -> None:
        super().__init__(**traits)
        on_message(self, "named", self._take_name)

    def _take_name(self, name: str) -> None:
        self.name = str(name)

    def on_press(self, callback: Callable[[str, str], object]) -> None:
        """Call back with ``keep`` or ``open`` and the name."""
        on_message(self, "keep", lambda name: callback("keep", str(name)))
        on_message(self, "open", lambda name: callback("open", str(name)))

    def on_look(self, callback: Callable[[], object]) -> None:
        """Call back when a hand comes near: what is kept may have changed since."""
        on_message(self, "look", lambda _near: callback())

    def say(self, message: str, *, tone: str = "") -> None:
        """Show a message; ``tone`` is empty or ``fault``."""
        with self.hold_sync():
            self.message, self.tone = message, tone
