"""Sentences with a box to tick before each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style


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

        def receive(_widget: object, content: dict[str, Any], _buffers: object) -> None:
            if "tick" in content:
                number, is_ticked = content["tick"]
                callback(int(number), bool(is_ticked))

        self.on_msg(receive)
