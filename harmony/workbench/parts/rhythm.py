"""Harmonic rhythm over a picture of notation: stretches to choose, drag, split, join, lock."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style
from harmony.workbench.parts.messages import on_message


class Rhythm(anywidget.AnyWidget):
    """Brackets over the notation of the sheet of the same ``desk``, and a line that tells one.

    Each of ``spans`` has ``start`` and ``end`` (times as text), ``locked`` and
    ``spoken``; each of ``places``, in order of time, has ``at`` (a time as text),
    ``quarters`` (a number) and ``id``, the element of the picture that stands
    there, or an empty text. ``over`` are the ids of the elements the brackets stand
    over. ``chosen`` is a span's number, -1 for none. ``revision`` is set last.
    """

    _esm = load_script("rhythm")
    _css = load_style("rhythm")

    desk = traitlets.Unicode().tag(sync=True)
    label = traitlets.Unicode("Harmonic rhythm").tag(sync=True)
    about = traitlets.Unicode().tag(sync=True)
    spans = traitlets.List(traitlets.Dict()).tag(sync=True)
    places = traitlets.List(traitlets.Dict()).tag(sync=True)
    over = traitlets.List(traitlets.Unicode()).tag(sync=True)
    chosen = traitlets.Int(-1).tag(sync=True)
    revision = traitlets.Int(0).tag(sync=True)

    def on_rhythm(self, callback: Callable[[str, int, str], object]) -> None:
        """Call back with ``choose``, ``split``, ``join``, ``lock`` or ``move``.

        With it come the span's number and, to ``move`` its beginning, a time as text.
        """

        def tell(action: str, told: list[Any]) -> None:
            number, to = told
            callback(action, int(number), str(to))

        for action in ("choose", "split", "join", "lock", "move"):
            on_message(self, action, partial(tell, action))
