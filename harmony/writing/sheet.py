"""Sheets of words and music on A4 pages, as plain shapes ready for SVG and PDF."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from harmony.scoring.score import Score
from harmony.writing.engraving import PAPER, engrave
from harmony.writing.flatten import Matrix, Page, Shape, flatten, set_glyph
from harmony.writing.outlines import find_glyph

_WIDTH, _HEIGHT, _MARGIN = 840.0, 1188.0, 70.0  # an A4 page, 4 pixels to a millimetre
_UNITS = 2.5  # verovio's units to a pixel, at the scale of PAPER
_LEADING = 1.4


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph, ``size`` in pixels of the page; a heading is bold with room above it."""

    text: str
    size: float = 15.0
    is_heading: bool = False


@dataclass(frozen=True, slots=True)
class Music:
    """A score, as wide as the page or ``share`` of it; ``is_one_line`` never breaks it."""

    score: Score
    share: float = 1.0
    is_one_line: bool = False


@dataclass(frozen=True, slots=True)
class Curve:
    """A line through heights that are evenly spaced, each marked with a number below."""

    heights: tuple[float, ...]
    numbers: tuple[str, ...]


Block = Words | Music | Curve


def lay_sheet(blocks: Sequence[Block]) -> tuple[Page, ...]:
    """Lay blocks one below the other on as many pages as they need.

    A heading stays with what follows it; a block taller than a page is cut at its foot.
    """
    pages: list[list[Shape]] = [[]]
    top = _MARGIN
    laid = [(block, *_lay(block)) for block in blocks]
    for place, (block, shapes, height) in enumerate(laid):
        needed = height
        if isinstance(block, Words) and place + 1 < len(laid):
            needed += laid[place + 1][2]  # words introduce what they stand above
        if top + needed > _HEIGHT - _MARGIN and pages[-1]:
            pages.append([])
            top = _MARGIN
        place_at = Matrix(e=_MARGIN, f=top)
        pages[-1] += [replace(shape, matrix=place_at.then(shape.matrix)) for shape in shapes]
        top += height
    return tuple(Page(_WIDTH, _HEIGHT, tuple(shapes)) for shapes in pages)


def _lay(block: Block) -> tuple[list[Shape], float]:
    if isinstance(block, Words):
        return _lay_words(block)
    if isinstance(block, Curve):
        return _lay_curve(block)
    return _lay_music(block)


def _lay_words(words: Words) -> tuple[list[Shape], float]:
    above = words.size if words.is_heading else 0.0
    shapes: list[Shape] = []
    lines = list(_break(words.text, words.size))
    for number, line in enumerate(lines):
        baseline = above + words.size * (1 + number * _LEADING)
        shapes += set_line(line, 0.0, baseline, words.size, is_bold=words.is_heading)
    return shapes, above + len(lines) * words.size * _LEADING + words.size * 0.4


def _break(text: str, size: float) -> Iterator[str]:
    """Break a paragraph into lines that fit between the margins."""
    room, line = _WIDTH - 2 * _MARGIN, ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and measure_line(longer, size) > room:
            yield line
            longer = word
        line = longer
    yield line


def measure_line(text: str, size: float) -> float:
    """Give the width of a line of text in pixels."""
    glyphs = (find_glyph(character, prefers_music=False) for character in text)
    return sum(glyph.advance * size for glyph in glyphs if glyph)


def set_line(
    text: str, left: float, baseline: float, size: float, *, is_bold: bool = False
) -> Iterator[Shape]:
    """Give a line of text as outlines."""
    for character in text:
        glyph = find_glyph(character, prefers_music=False)
        if glyph is None:
            continue
        if glyph.path:
            yield set_glyph(glyph, size, left, baseline, is_bold=is_bold)
        left += glyph.advance * size


def _lay_music(music: Music) -> tuple[list[Shape], float]:
    layout = {
        **PAPER,
        "adjustPageHeight": True,
        "pageWidth": round((_WIDTH - 2 * _MARGIN) * music.share * _UNITS),
        "breaks": "none" if music.is_one_line else "auto",
        **dict.fromkeys(("pageMarginLeft", "pageMarginRight", "pageMarginTop"), 0),
        "pageMarginBottom": 20,
    }
    page = flatten(engrave(music.score, concert=True, layout=layout).pages[0])
    room = (_WIDTH - 2 * _MARGIN) * music.share
    shrink = min(1.0, room / page.width)
    scale = Matrix(a=shrink, d=shrink)
    return [replace(s, matrix=scale.then(s.matrix)) for s in page.shapes], page.height * shrink


def _lay_curve(curve: Curve) -> tuple[list[Shape], float]:
    height, foot, size = 70.0, 24.0, 12.0
    low, high = min(curve.heights), max(curve.heights)
    rise = (height - 10) / ((high - low) or 1.0)
    step = (_WIDTH - 2 * _MARGIN) / max(len(curve.heights), 2)
    points = [
        (step * (place + 0.5), 5 + (high - value) * rise)
        for place, value in enumerate(curve.heights)
    ]
    path = "M" + " L".join(f"{x:g} {y:g}" for x, y in points)
    shapes = [Shape(path, Matrix(), is_filled=False, stroke=1.5)]
    shapes += [
        Shape(f"M{x - 3:g} {y:g}a3 3 0 1 0 6 0a3 3 0 1 0 -6 0Z", Matrix()) for x, y in points
    ]
    for (x, _), number in zip(points, curve.numbers, strict=True):
        left = x - measure_line(number, size) / 2
        shapes += set_line(number, left, height + size + 2, size)
    return shapes, height + foot
