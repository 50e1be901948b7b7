"""A chart of one thing against another, its places filled with figures to press."""

from __future__ import annotations

from collections.abc import Callable

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Chart(anywidget.AnyWidget):
    """Rows against columns; a press tells the row and the column.

    ``content`` has ``heads`` (column titles) and ``rows`` (each ``name`` and ``cells``, pairs
    of text and spoken words, empty where there is nothing); ``chosen`` is [row, column] or
    empty.
    """

    _esm = load_script("chart")
    _css = load_style("chart")

    label = traitlets.Unicode().tag(sync=True)
    content = traitlets.Dict({"heads": [], "rows": []}).tag(sync=True)
    chosen = traitlets.List(traitlets.Int()).tag(sync=True)

    def on_press(self, callback: Callable[[int, int], object]) -> None:
        """Call back with (row, column) when a place that has something is pressed."""
        on_message(self, "press", lambda place: callback(*map(int, place)))
