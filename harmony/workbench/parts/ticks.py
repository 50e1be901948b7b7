"""Sentences with a box to tick before each."""

from __future__ import annotations

from collections.abc import Callable

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Ticks(anywidget.AnyWidget):
    """Things that hold or do not; each of ``items`` has ``sentence`` and ``ticked``.

    ``none`` stands where there are no items.
    """

    _esm = load_script("ticks")
    _css = load_style("ticks")

    label = traitlets.Unicode().tag(sync=True)
    items = traitlets.List(traitlets.Dict()).tag(sync=True)
    none = traitlets.Unicode().tag(sync=True)

    def on_tick(self, callback: Callable[[int, bool], object]) -> None:
        """Call back with an item's number and whether it is ticked now."""
        on_message(self, "tick", lambda told: callback(int(told[0]), bool(told[1])))
