"""The alternatives side by side, and what a chord costs."""

from __future__ import annotations

from collections.abc import Callable

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Cards(anywidget.AnyWidget):
    """Alternatives; each item has ``letter``, ``cost``, ``words`` and ``shown``.

    ``pictures`` are small engravings (SVG) in the same order, which may come later.
    ``revision`` is that of the notation the alternatives belong to.
    """

    _esm = load_script("cards")
    _css = load_style("cards")

    label = traitlets.Unicode().tag(sync=True)
    items = traitlets.List(traitlets.Dict()).tag(sync=True)
    pictures = traitlets.List(traitlets.Unicode()).tag(sync=True)
    revision = traitlets.Int(0).tag(sync=True)

    def on_press(self, callback: Callable[[str], object]) -> None:
        """Call back with a letter when it is pressed."""
        on_message(self, "press", lambda letter: callback(str(letter)))


class Bill(anywidget.AnyWidget):
    """What a chord costs, and the notes a voice could have instead.

    ``lines`` are [words, cost]; each of ``candidates`` has ``name``, ``spoken``,
    ``price``, ``is_now`` and ``is_pinned``; ``hint`` stands where there are
    none, and ``no_lines`` where there are no lines.
    """

    _esm = load_script("account")
    _css = load_style("account")

    heading = traitlets.Unicode().tag(sync=True)
    lines = traitlets.List().tag(sync=True)
    notes_heading = traitlets.Unicode().tag(sync=True)
    candidates = traitlets.List(traitlets.Dict()).tag(sync=True)
    hint = traitlets.Unicode().tag(sync=True)
    no_lines = traitlets.Unicode("Nothing is charged here.").tag(sync=True)

    def on_press(self, callback: Callable[[int], object]) -> None:
        """Call back with the place of a candidate when it is pressed."""
        on_message(self, "press", lambda place: callback(int(place)))
