"""A labelled text box with its message and a mark under what cannot be read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Entry(anywidget.AnyWidget):
    """A text box; ``on_submit`` is called with the text when Enter is pressed.

    In a box of several ``rows`` Enter begins another line, and Ctrl+Enter submits.
    """

    _esm = load_script("entry")
    _css = load_style("entry")

    label = traitlets.Unicode().tag(sync=True)
    value = traitlets.Unicode().tag(sync=True)
    rows = traitlets.Int(1).tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    tone = traitlets.Enum(("", "fault"), default_value="").tag(sync=True)
    marked = traitlets.List(traitlets.Int(), default_value=[0, 0]).tag(sync=True)
    marked_text = traitlets.Unicode().tag(sync=True)

    def __init__(self, **traits: Any) -> None:
        super().__init__(**traits)
        self._typed: str | None = None
        on_message(self, "typed", self._take_typed)

    @property
    def text(self) -> str:
        """What stands in the box now.

        ``value`` may lag behind a press of a button: the browser holds back changes
        of state while the kernel is busy, but not messages, so text comes as both.
        """
        return self.value if self._typed is None else self._typed

    def put(self, text: str) -> None:
        """Put a text into the box."""
        self._typed = None
        self.value = text

    def _take_typed(self, text: str) -> None:
        self._typed = str(text)

    def on_submit(self, callback: Callable[[str], object]) -> None:
        """Call back with the text whenever Enter is pressed in the box."""
        on_message(self, "submit", lambda text: callback(str(text)))

    def say(self, message: str) -> None:
        """Show a message that is no fault (or, empty, none)."""
        with self.hold_sync():
            self.message, self.tone, self.marked = message, "", [0, 0]

    def complain(self, message: str, *, span: tuple[int, int] | None = None) -> None:
        """Show a fault; ``span`` is the stretch of the present text to mark."""
        with self.hold_sync():
            self.message, self.tone = message, "fault"
            self.marked, self.marked_text = list(span or (0, 0)), self.text
