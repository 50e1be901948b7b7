"""Engraved pictures of scores, drawn by verovio.

Verovio is imported when the first picture is drawn. A score goes to it as MEI
(:mod:`harmony.writing.mei`), which it loads in a few milliseconds.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from harmony.errors import HarmonyError
from harmony.scoring.score import Score
from harmony.writing.mei import write_mei

if TYPE_CHECKING:
    from verovio import toolkit

#: A tall page cut to its content; widths and heights are verovio's units (tenths of a millimetre).
SCREEN: Mapping[str, Any] = {
    "pageWidth": 2100,
    "pageHeight": 60000,
    "adjustPageHeight": True,
    "scale": 40,
    "svgViewBox": True,
    "svgHtml5": True,
    "svgFormatRaw": True,
    "breaks": "auto",
    "header": "none",
    "footer": "none",
    "smuflTextFont": "none",
}
#: A4 pages, with plain ids and a size in pixels.
PAPER: Mapping[str, Any] = {
    "pageWidth": 2100,
    "pageHeight": 2970,
    "adjustPageHeight": False,
    "scale": 40,
    "svgViewBox": False,
    "svgHtml5": False,
    "svgFormatRaw": False,
    "breaks": "auto",
    "header": "none",
    "footer": "none",
    "smuflTextFont": "none",
}
_threads = threading.local()


@dataclass(frozen=True, slots=True)
class Moment:
    """A time at which something begins or stops: quarters, seconds, ids of notes."""

    quarters: float
    seconds: float
    on: tuple[str, ...]
    off: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Engraving:
    """Pages of SVG, and for playback the moments at which notes begin and stop."""

    pages: tuple[str, ...]
    moments: tuple[Moment, ...] = ()

    @property
    def svg(self) -> str:
        """The first page."""
        return self.pages[0]


def engrave(
    score: Score,
    *,
    concert: bool = False,
    layout: Mapping[str, Any] = SCREEN,
    has_moments: bool = False,
    **options: Any,
) -> Engraving:
    """Draw a score.

    ``layout`` is SCREEN (one page cut to its content) or PAPER; ``options`` are
    verovio's own and come last. With ``has_moments`` the times of all notes are
    found as well.

    Raises
    ------
    HarmonyError
        If the engraver cannot load the score.
    """
    engraver = _toolkit()
    # Options stay in a toolkit, so every drawing sets all of them again.
    engraver.resetOptions()
    engraver.setOptions({**layout, **options})
    if not engraver.loadData(write_mei(score, concert=concert)):
        raise HarmonyError("The score cannot be engraved; it can still be saved as MusicXML.")
    pages = tuple(engraver.renderToSVG(page + 1) for page in range(engraver.getPageCount()))
    return Engraving(pages, _find_moments(engraver) if has_moments else ())


def _toolkit() -> toolkit:
    """Give this thread's own toolkit; one must not be shared."""
    found = getattr(_threads, "toolkit", None)
    if found is None:
        import verovio

        # Outside the main thread verovio does not find its fonts by itself.
        verovio.setDefaultResourcePath(str(files("verovio") / "data"))
        verovio.enableLog(verovio.LOG_OFF)
        found = _threads.toolkit = verovio.toolkit()
    return found


def _find_moments(engraver: toolkit) -> tuple[Moment, ...]:
    found = engraver.renderToTimemap({"includeRests": False})
    entries = json.loads(found) if isinstance(found, str) else found
    return tuple(
        Moment(
            float(entry["qstamp"]),
            float(entry["tstamp"]) / 1000.0,
            tuple(entry.get("on", ())),
            tuple(entry.get("off", ())),
        )
        for entry in entries
    )
