"""Parts behind a fold."""

from __future__ import annotations

import ipywidgets

from harmony.workbench.parts.spacing import Fold


class Folded:
    """Parts that are seen once their fold is opened; ``box`` is what is laid out."""

    def __init__(self, label: str, *parts: ipywidgets.Widget) -> None:
        self.fold = Fold(label=label, is_open=False)
        self._inside = ipywidgets.VBox(list(parts))
        self._inside.add_class("hw-folded")
        self._inside.layout.display = "none"
        self.box = ipywidgets.VBox([self.fold, self._inside])
        self.box.add_class("hw-folded")
        self.fold.observe(lambda _change: self._turn(), names="is_open")

    def _turn(self) -> None:
        self._inside.layout.display = None if self.fold.is_open else "none"
