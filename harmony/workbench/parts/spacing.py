"""A sonority seen and heard: its picture with the facts, and its sounds."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style

USUAL_WIDTH = 1240
FIRST_LEVEL = 20  # of 100; the level begins quiet


class SpacingPicture(anywidget.AnyWidget):
    """A picture of a sonority with its facts beside it, and lines over time below.

    ``picture`` and ``course`` are SVG; each of ``facts`` has ``heading``,
    ``sentence`` and ``warning``. ``message`` stands where there can be no
    picture. ``file_name`` names saved pictures, without an ending. ``width`` is the
    room the page gives, in screen pixels. ``revision`` counts what was shown and
    is set last.
    """

    _esm = load_script("spacing")
    _css = load_style("spacing")

    heading = traitlets.Unicode().tag(sync=True)
    picture = traitlets.Unicode().tag(sync=True)
    facts = traitlets.List(traitlets.Dict()).tag(sync=True)
    course = traitlets.Unicode().tag(sync=True)
    message = traitlets.Unicode().tag(sync=True)
    file_name = traitlets.Unicode("spacing").tag(sync=True)
    width = traitlets.Int(USUAL_WIDTH).tag(sync=True)
    revision = traitlets.Int(0).tag(sync=True)

    def show(
        self,
        *,
        heading: str,
        picture: str,
        facts: list[dict[str, Any]],
        course: str,
        file_name: str,
    ) -> None:
        """Show a sonority, in one message."""
        with self.hold_sync():
            self.heading, self.picture, self.facts = heading, picture, facts
            self.course, self.file_name, self.message = course, file_name, ""
            self.revision += 1

    def excuse(self, heading: str, message: str, *, course: str) -> None:
        """Show a sentence in place of the picture; the lines over time stay."""
        with self.hold_sync():
            self.heading, self.message, self.course = heading, message, course
            self.picture, self.facts = "", []
            self.revision += 1


class Tones(anywidget.AnyWidget):
    """Buttons that sound something, one at a time.

    ``items`` are [name, label]; ``sounds`` holds the tones of each name, each tone
    with ``hz``, ``partials``, ``start``, ``seconds`` and ``loudness``.
    """

    _esm = load_script("tones", "loudspeaker")
    _css = load_style("tones")

    items = traitlets.List().tag(sync=True)
    sounds = traitlets.Dict().tag(sync=True)
    level = traitlets.Int(FIRST_LEVEL).tag(sync=True)
