"""Engraved notation to click and to walk through by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_music_font, load_script, load_style
from harmony.workbench.parts.messages import on_message

USUAL_WIDTH = 1240


class Sheet(anywidget.AnyWidget):
    """A picture of notation whose notes can be chosen and pinned.

    Each of ``notes`` has ``id`` (the note's id in the picture), ``slot``,
    ``voice``, ``spoken`` (what a screen reader says) and ``pinned``; each of
    ``under`` has ``slot`` and ``text``. ``chosen`` is [slot, voice] or empty.
    ``width`` is the room the page gives, in screen pixels.
    ``revision`` counts the pictures and is set last, so that a view draws once.
    """

    _esm = load_script("score", inner_style="notation")
    _css = load_style("score") + load_music_font()

    desk = traitlets.Unicode().tag(sync=True)
    label = traitlets.Unicode().tag(sync=True)
    picture = traitlets.Unicode().tag(sync=True)
    notes = traitlets.List(traitlets.Dict()).tag(sync=True)
    under = traitlets.List(traitlets.Dict()).tag(sync=True)
    chosen = traitlets.List(traitlets.Int()).tag(sync=True)
    width = traitlets.Int(USUAL_WIDTH).tag(sync=True)
    revision = traitlets.Int(0).tag(sync=True)

    def show(
        self,
        *,
        picture: str,
        notes: list[dict[str, Any]],
        under: list[dict[str, Any]],
        chosen: tuple[int, int] | None,
        label: str,
    ) -> None:
        """Show a picture with its notes, in one message."""
        with self.hold_sync():
            self.picture, self.notes, self.under, self.label = picture, notes, under, label
            self.chosen = list(chosen or ())
            self.revision += 1

    def reveal(self) -> None:
        """Bring the notation into sight, where the page has scrolled away from it."""
        self.send({"reveal": True})

    def on_note(self, callback: Callable[[str, int, int], object]) -> None:
        """Call back with ``choose`` or ``pin``, the chord's number and the voice's."""
        on_message(self, "choose", lambda note: callback("choose", *map(int, note)))
        on_message(self, "pin", lambda note: callback("pin", *map(int, note)))
