"""Possibilities side by side, each with a sentence, a small picture and its own Play."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_music_font, load_script, load_style


class Offers(anywidget.AnyWidget):
    """Lettered offers; each has ``letter``, ``sentence``, ``picture`` (SVG) and ``shown``."""

    _esm = load_script("offers")
    _css = load_style("offers") + load_music_font()

    label = traitlets.Unicode().tag(sync=True)
    items = traitlets.List(traitlets.Dict()).tag(sync=True)

    def on_press(self, callback: Callable[[str, str], object]) -> None:
        """Call back with ``open`` or ``play`` and the letter pressed."""

        def receive(_widget: object, content: dict[str, Any], _buffers: object) -> None:
            for action in ("open", "play"):
                if action in content:
                    callback(action, str(content[action]))

        self.on_msg(receive)
