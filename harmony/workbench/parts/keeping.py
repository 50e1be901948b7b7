"""Keeping under a name, and opening what was kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style


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
        self.on_msg(self._take_name)

    def _take_name(self, _widget: object, content: dict[str, Any], _buffers: object) -> None:
        if "named" in content:
            self.name = str(content["named"])

    def on_press(self, callback: Callable[[str, str], object]) -> None:
        """Call back with ``keep`` or ``open`` and the name."""

        def receive(_widget: object, content: dict[str, Any], _buffers: object) -> None:
            for action in ("keep", "open"):
                if action in content:
                    callback(action, str(content[action]))

        self.on_msg(receive)

    def on_look(self, callback: Callable[[], object]) -> None:
        """Call back when a hand comes near: what is kept may have changed since."""

        def receive(_widget: object, content: dict[str, Any], _buffers: object) -> None:
            if "look" in content:
                callback()

        self.on_msg(receive)

    def say(self, message: str, *, tone: str = "") -> None:
        """Show a message; ``tone`` is empty or ``fault``."""
        with self.hold_sync():
            self.message, self.tone = message, tone
