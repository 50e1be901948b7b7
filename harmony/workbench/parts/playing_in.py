"""A small staff and a keyboard: notes played by click, by computer keys, by a MIDI keyboard."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_music_font, load_script, load_style

FIRST_LEVEL = 20  # of 100; the level begins quiet
USUAL_WIDTH = 1240


class PlayingIn(anywidget.AnyWidget):
    """Holds what is played until it is taken.

    With ``kind`` ``chord`` the notes of the keyboard are held together; with
    ``melody`` each is told at once with the length chosen. ``picture`` is the
    staff (SVG), ``told`` the line beside it, ``spoken`` what a screen reader says,
    ``taking`` the label of the button that takes what is held.

    Messages to Python: ``held`` (MIDI numbers, and ``at``, the one touched last),
    ``note`` (a number or None for a rest, and ``length`` in quarters as text),
    ``longer`` (a length), ``respell_one`` (a number), and the bare words ``take``,
    ``back`` and ``respell``. What was held is let go of with ``take``.
    """

    _esm = load_script("playing_in", "loudspeaker")
    _css = load_style("playing_in") + load_music_font()

    kind = traitlets.Enum(("chord", "melody"), default_value="chord").tag(sync=True)
    label = traitlets.Unicode("Keyboard").tag(sync=True)
    taking = traitlets.Unicode().tag(sync=True)
    picture = traitlets.Unicode().tag(sync=True)
    told = traitlets.Unicode().tag(sync=True)
    spoken = traitlets.Unicode().tag(sync=True)
    tone = traitlets.Enum(("", "fault"), default_value="").tag(sync=True)
    level = traitlets.Int(FIRST_LEVEL).tag(sync=True)
    width = traitlets.Int(USUAL_WIDTH).tag(sync=True)
    revision = traitlets.Int(0).tag(sync=True)

    def on_played(self, callback: Callable[[dict[str, Any]], object]) -> None:
        """Call back with every message, as described above."""

        def receive(_widget: object, content: dict[str, Any], _buffers: object) -> None:
            callback(content)

        self.on_msg(receive)

    def show(self, *, picture: str, told: str, spoken: str) -> None:
        """Show a staff with what it is, in one message."""
        with self.hold_sync():
            self.picture, self.told, self.spoken, self.tone = picture, told, spoken, ""
            self.revision += 1

    def complain(self, sentence: str) -> None:
        """Show a fault in place of what is told; the staff stays."""
        with self.hold_sync():
            self.told, self.spoken, self.tone = sentence, "", "fault"

    def hold(self, numbers: list[int]) -> None:
        """Hold notes again that the screen let go of: they could not be taken."""
        self.send({"hold": numbers})
