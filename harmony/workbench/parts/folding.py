"""Parts behind a fold."""

from __future__ import annotations

import anywidget
import ipywidgets
import traitlets

from harmony.workbench.parts.assets import load_script, load_style


class Fold(anywidget.AnyWidget):
    """A heading that opens and closes what stands below it."""

    _esm = load_script("fold")
    _css = load_style("fold")

    label = traitlets.Unicode().tag(sync=True)
    is_open = traitlets.Bool(default_value=False).tag(sync=True)


class Folded:
    """Parts that are seen while their fold is open; ``box`` is what is laid out."""

    def __init__(self, label: str, *parts: ipywidgets.Widget, is_open: bool = False) -> None:
        self.fold = Fold(label=label, is_open=is_open)
        self._inside = ipywidgets.VBox(list(parts))
        self._inside.add_class("hw-folded")
        self.box = ipywidgets.VBox([self.fold, self._inside])
        self.box.add_class("hw-folded")
        self.fold.observe(lambda _change: self._turn(), names="is_open")
        self._turn()

    def _turn(self) -> None:
        self._inside.layout.display = None if self.fold.is_open else "none"
