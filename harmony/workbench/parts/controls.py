"""Choices, sliders, buttons and the message line."""

from __future__ import annotations

from collections.abc import Callable

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Choice(anywidget.AnyWidget):
    """A labelled choice of one among several texts."""

    _esm = load_script("choice")
    _css = load_style("choice")

    label = traitlets.Unicode().tag(sync=True)
    options = traitlets.List(traitlets.Unicode()).tag(sync=True)
    value = traitlets.Unicode().tag(sync=True)
    is_watched = traitlets.Bool().tag(sync=True)

    def on_look(self, callback: Callable[[], object]) -> None:
        """Call back when a hand comes near: there may be more to choose from than before."""
        self.is_watched = True
        on_message(self, "look", lambda _near: callback())

    def offer(self, options: list[str]) -> None:
        """List what can be chosen; what is chosen stays, or is the first where it is gone."""
        with self.hold_sync():
            self.options = options
            if self.value not in options:
                self.value = options[0]


class Sliders(anywidget.AnyWidget):
    """Sliders side by side, behind a fold if ``title`` is given.

    Each item of ``items`` has ``name``, ``label``, ``lowest``, ``highest``,
    ``step``, ``low_word``, ``high_word``, ``about`` and ``readings`` (words for
    its values, by the value's text, or None). ``stroke`` counts how often a slider
    was taken hold of: steps of one stroke are one change.
    """

    _esm = load_script("sliders")
    _css = load_style("sliders")

    title = traitlets.Unicode().tag(sync=True)
    items = traitlets.List(traitlets.Dict()).tag(sync=True)
    # Sent back as it came, a step would take its turn before the music it asks for.
    values = traitlets.Dict().tag(sync=True, echo_update=False)
    stroke = traitlets.Int(0).tag(sync=True)


class Actions(anywidget.AnyWidget):
    """A row of buttons. Each item has ``name``, ``label``, ``enabled``, ``first``, ``about``."""

    _esm = load_script("actions")
    _css = load_style("actions")

    items = traitlets.List(traitlets.Dict()).tag(sync=True)

    def on_press(self, callback: Callable[[str], object]) -> None:
        """Call back with the name of a button when it is pressed."""
        on_message(self, "press", lambda name: callback(str(name)))


class Message(anywidget.AnyWidget):
    """A line that tells what happened."""

    _esm = load_script("message")
    _css = load_style("message")

    text = traitlets.Unicode().tag(sync=True)
    tone = traitlets.Enum(("", "fault"), default_value="").tag(sync=True)

    def say(self, text: str, *, tone: str = "") -> None:
        """Show a text; ``tone`` is empty or ``fault``."""
        with self.hold_sync():
            self.text, self.tone = text, tone
