"""Who plays: an ensemble, alone or joined by another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from harmony.instruments.catalogue import ensemble_names
from harmony.workbench.parts.controls import Choice

ALONE = "no others"
_JOINED = " + "


class EnsembleChoice:
    """Two lists side by side; ``value`` is the text the engine reads, such as ``A + B``.

    A text that the lists lack (a composer's own ensemble) is added to the first.
    """

    def __init__(self, value: str) -> None:
        self.first = Choice(label="Ensemble", options=list(ensemble_names()))
        self.second = Choice(label="Joined by", options=[ALONE, *ensemble_names()], value=ALONE)
        self._callback: Callable[[str], object] | None = None
        self.value = value
        for part in (self.first, self.second):
            part.observe(self._tell, names="value")

    @property
    def boxes(self) -> tuple[Choice, Choice]:
        """Give both lists, the first first."""
        return self.first, self.second

    @property
    def value(self) -> str:
        """Give the ensemble's name as the engine reads it."""
        alone = self.second.value == ALONE
        return self.first.value if alone else f"{self.first.value}{_JOINED}{self.second.value}"

    @value.setter
    def value(self, text: str) -> None:
        if text == self.value:
            return
        first, _, second = text.rpartition(_JOINED)
        if not first or second not in self.second.options:
            first, second = text, ALONE
        callback, self._callback = self._callback, None
        if first not in self.first.options:
            self.first.options = [*self.first.options, first]
        self.first.value, self.second.value = first, second
        self._callback = callback
        self._tell(None)

    def on_change(self, callback: Callable[[str], object]) -> None:
        """Call back with the value whenever another is chosen."""
        self._callback = callback

    def _tell(self, _change: Any) -> None:
        if self._callback is not None:
            self._callback(self.value)
