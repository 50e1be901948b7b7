"""Scores on paper and as pictures: SVG, PNG and PDF, without any font or system library."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from harmony.errors import HarmonyError
from harmony.saving import save_bytes
from harmony.scoring.event import Event
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Score
from harmony.writing.engraving import PAPER, engrave
from harmony.writing.flatten import WIDTH_MM, Page, flatten

#: most staves of a score -> height of a staff in millimetres, from a piano's 7 down
#: (common practice); still more staves share the height of the page
_STAFF_HEIGHTS_MM = ((2, 7.0), (4, 6.4), (6, 5.6), (9, 4.8), (12, 4.4), (16, 3.8))
_ROOM_MM, _ROOM_PER_STAFF = 255, 2.6  # a staff with what stands about it, in its own heights
_DRAWN_STAFF_MM = 7.2
_USUAL_DPI = 200


def engrave_pages(score: Score, *, concert: bool = False) -> tuple[Page, ...]:
    """Engrave a score on A4 pages, as plain shapes with all text outlined."""
    score = replace(score, parts=tuple(map(_with_chords, score.parts)))
    staves = sum(len(part.staves) for part in score.parts)
    height = next((mm for most, mm in _STAFF_HEIGHTS_MM if staves <= most), 3.6)
    height = min(height, _ROOM_MM / (_ROOM_PER_STAFF * staves))
    # Music keeps verovio's size, and the sheet around it is drawn the larger.
    larger = _DRAWN_STAFF_MM / height
    sheet = {name: round(PAPER[name] * larger) for name in PAPER if name.startswith("page")}
    heading = {"header": "auto"} if score.title else {}
    pages = engrave(score, concert=concert, layout={**PAPER, **sheet, **heading}).pages
    return tuple(flatten(page) for page in pages)


def _with_chords(part: Part) -> Part:
    """Write three or more voices of one hand that move together as chords on one stem."""
    return replace(part, staves=tuple(map(_join_voices, part.staves)))


def _join_voices(staff: Staff) -> Staff:
    voices = {event.voice for event in staff.events}
    if len(voices) < 3:
        return staff
    columns: dict[tuple[Fraction, Fraction], list[Event]] = {}
    for event in staff.events:
        if event != Event(event.onset, event.duration, event.pitches, event.voice, id=event.id):
            return staff  # ties, slurs, marks and syllables belong to one voice
        columns.setdefault((event.onset, event.duration), []).append(event)
    if any(len(column) != len(voices) for column in columns.values()):
        return staff
    chords = []
    for (onset, duration), column in columns.items():
        pitches = {pitch: None for event in column for pitch in event.pitches}
        chords.append(Event(onset, duration, tuple(sorted(pitches, key=lambda p: p.midi))))
    return replace(staff, events=tuple(chords))


def write_png(page: Page, *, dots_per_inch: int = _USUAL_DPI) -> bytes:
    """Give a page as PNG on white. A4 is 210 mm wide whatever the resolution."""
    import resvg_py

    width = round(WIDTH_MM / 25.4 * dots_per_inch)
    drawn = resvg_py.svg_to_bytes(svg_string=page.to_svg(), background="white", width=width, dpi=96)
    return bytes(drawn)


def write_pdf(
    pages: tuple[Page, ...], *, title: str = "", report: Callable[[int], object] | None = None
) -> bytes:
    """Give pages as a PDF of A4 sheets; every sign is a curve, so it prints anywhere.

    ``report`` is told the number of each page, from 1, before it is written, which takes
    a second; what it raises ends the writing.
    """
    from fpdf import FPDF
    from fpdf.svg import SVGObject

    document = FPDF(unit="pt", format="A4")
    document.set_margin(0)
    document.set_auto_page_break(auto=False)
    if title:
        document.set_title(title)
    for number, page in enumerate(pages, start=1):
        if report:
            report(number)
        document.add_page()
        drawing = SVGObject(page.to_svg())
        drawing.draw_to_page(document)
    return bytes(document.output())


def save_picture(
    score: Score, path: Path, *, concert: bool = False, overwrite: bool = False
) -> tuple[Path, ...]:
    """Save a score as ``.pdf``, or each page as ``.svg`` or ``.png``.

    Further pages of a picture are numbered: ``hymn.png``, ``hymn 2.png``.

    Raises
    ------
    HarmonyError
        For another ending, or a file already there without ``overwrite``.
    """
    ending = path.suffix.lower()
    if ending not in (".pdf", ".svg", ".png"):
        raise HarmonyError(f"{path.name} is no picture; .pdf, .svg and .png are accepted.")
    pages = engrave_pages(score, concert=concert)
    if ending == ".pdf":
        return (save_bytes(path, write_pdf(pages, title=score.title), overwrite=overwrite),)
    saved = []
    for number, page in enumerate(pages, start=1):
        name = path if number == 1 else path.with_name(f"{path.stem} {number}{path.suffix}")
        data = page.to_svg().encode() if ending == ".svg" else write_png(page)
        saved.append(save_bytes(name, data, overwrite=overwrite))
    return tuple(saved)
