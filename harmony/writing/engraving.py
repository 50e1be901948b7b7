"""Engraved pictures of scores, drawn by verovio.

Verovio is imported when the first picture is drawn. A score goes to it as MEI
(:mod:`harmony.writing.mei`), which it loads in a few milliseconds.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Mapping, Sequence
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
    "xmlIdSeed": 1,  # the same score gives the same picture
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
    "pageMarginTop": 150,
    "pageMarginBottom": 150,
    "pageMarginLeft": 150,
    "pageMarginRight": 150,
    "spacingSystem": 12,
    "adjustPageHeight": False,
    "scale": 40,
    "xmlIdSeed": 1,
    "svgViewBox": False,
    "svgHtml5": False,
    "svgFormatRaw": False,
    "breaks": "auto",
    "header": "none",
    "footer": "none",
    "smuflTextFont": "linked",
}
_SIGNS = {"\uea64": "♭", "\uea65": "♮", "\uea66": "♯"}
_ACCIDENTAL = re.compile(
    r'<tspan font-family="Leipzig" font-size="(\d+)px">([\uea64-\uea66])</tspan>'
)
_TEXT_TO_MUSIC_SIZE = 405 / 720  # verovio's sizes of letters and of accidentals among them
_BAR = re.compile(r'data-id="m(\d+)"')
_BAR_WIDTH = re.compile(
    r'data-id="m(?P<bar>\d+)" data-class="measure".*?<path d="M(?P<left>-?\d+) -?\d+'
    r" L(?P<right>-?\d+)",
    re.DOTALL,
)
#: A last line of music with fewer bars than this share of the others' is filled up from
#: so many lines before it, at most: of four, none is then wider than the page.
_FEWEST_BARS, _LINES_SHARED = 0.55, 4
_threads = threading.local()


@dataclass(frozen=True, slots=True)
class Engraving:
    """Pages of SVG."""

    pages: tuple[str, ...]

    @property
    def svg(self) -> str:
        """The first page."""
        return self.pages[0]

    @property
    def lines(self) -> tuple[int, ...]:
        """The bars, counted from 0, that begin another line of music on the first page."""
        systems = self.svg.split('data-class="system"')[2:]
        return tuple(int(bar[1]) for bar in map(_BAR.search, systems) if bar)

    @property
    def lines_shared_out(self) -> tuple[int, ...]:
        """The same where the last line would have far fewer bars than the others.

        The bars of the last lines are shared out among as many, each about as full.
        Empty where the lines are well as they are.
        """
        systems = self.svg.split('data-class="system"')[1:]
        lines = [
            [(int(b["bar"]), int(b["right"]) - int(b["left"])) for b in _BAR_WIDTH.finditer(system)]
            for system in systems
        ]
        counts = [len(line) for line in lines]
        if len(lines) < 2 or counts[-1] >= _FEWEST_BARS * sum(counts[:-1]) / (len(lines) - 1):
            return ()
        kept, shared = lines[:-_LINES_SHARED], lines[-_LINES_SHARED:]
        bars = [bar for line in shared for bar in line]
        share = sum(width for _, width in bars) / len(shared)
        starts, before = {0: bars[0][0]}, 0
        for bar, width in bars:
            # A bar belongs to the line in which its middle lies.
            starts.setdefault(int((before + width / 2) // share), bar)
            before += width
        begun = [line[0][0] for line in kept] + list(starts.values())
        return tuple(begun[1:]) if len(begun) == len(lines) else ()


def engrave(
    score: Score,
    *,
    concert: bool = False,
    layout: Mapping[str, Any] = SCREEN,
    lines: Sequence[int] = (),
    **options: Any,
) -> Engraving:
    """Draw a score.

    ``layout`` is SCREEN (one page cut to its content) or PAPER; ``options`` are
    verovio's own and come last. ``lines``, from an earlier engraving of the same bars,
    keeps every bar on its line of music, which also saves a third of the time.

    Raises
    ------
    HarmonyError
        If the engraver cannot load the score.
    """
    engraver = _toolkit()
    # Options stay in a toolkit, so every drawing sets all of them again.
    engraver.resetOptions()
    chosen = {**layout, **options}
    if chosen["smuflTextFont"] == "none" and any(tempo.is_shown for tempo in score.tempi):
        chosen["smuflTextFont"] = "embedded"  # for the note of a metronome mark
    if lines:
        chosen["breaks"] = "encoded"
    engraver.setOptions(chosen)
    if not engraver.loadData(write_mei(score, concert=concert, lines=lines)):
        raise HarmonyError("The score cannot be engraved; it can still be saved as MusicXML.")
    pages = tuple(engraver.renderToSVG(page + 1) for page in range(engraver.getPageCount()))
    if chosen["smuflTextFont"] != "linked":
        pages = tuple(_ACCIDENTAL.sub(_plain_accidental, page) for page in pages)
    return Engraving(pages)


def engrave_evenly(score: Score, *, lines: Sequence[int] = (), **options: Any) -> Engraving:
    """Draw a score as :func:`engrave` does, no last line of music left with a bar or two.

    Where ``lines`` are given they are kept as they are.
    """
    drawn = engrave(score, lines=lines, **options)
    shared = () if lines else drawn.lines_shared_out
    return engrave(score, lines=shared, **options) if shared else drawn


def _plain_accidental(match: re.Match[str]) -> str:
    """Give an accidental inside text as a sign that text fonts have.

    Verovio sets it in its music font, which a page would have to carry (60 kB).
    """
    size = round(int(match[1]) * _TEXT_TO_MUSIC_SIZE)
    return f'<tspan font-size="{size}px">{_SIGNS[match[2]]}</tspan>'


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
