"""Possibilities side by side, each with a sentence, a small picture and its own Play."""

from __future__ import annotations

from collections.abc import Callable

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_music_font, load_script, load_style
from harmony.workbench.parts.messages import on_message


class Offers(anywidget.AnyWidget):
    """Lettered offers; each has ``letter``, ``sentence``, ``picture`` (SVG) and ``shown``."""

    _esm = load_script("offers")
    _css = load_style("offers") + load_music_font()

    label = traitlets.Unicode().tag(sync=True)
    items = traitlets.List(traitlets.Dict()).tag(sync=True)

    def on_press(self, callback: Callable[[str, str], object]) -> None:
        """Call back with ``open`` or ``play`` and the letter pressed."""
        on_message(self, "open", lambda letter: callback("open", str(letter)))
        on_message(self, "play", lambda letter: callback("play", str(letter)))
