"""An engraved page as plain shapes: no text, no style sheet, no reuse.

Every SVG reader draws paths alike; few know style sheets, nested pictures and
fonts. What verovio draws is turned into paths with their own transformations.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element, fromstring

from harmony.writing.outlines import MUSIC_FONT, Glyph, find_glyph

WIDTH_MM = 210  # of A4
_SVG = "{http://www.w3.org/2000/svg}"
_HREF = "{http://www.w3.org/1999/xlink}href"
_NUMBER = re.compile(r"-?\d*\.?\d+(?:[eE][-+]?\d+)?")
_CALL = re.compile(r"(\w+)\(([^)]*)\)")
_BOLD = frozenset({"ending", "fing", "reh", "tempo"})
_ITALIC = frozenset({"dir", "dynam", "mNum"})
_SLANT = math.tan(math.radians(12))  # the text font has no italic of its own
_BOLD_STROKE = 0.035  # of the font size, likewise
_HIDDEN = frozenset({"placeholder"})


@dataclass(frozen=True, slots=True)
class Matrix:
    """An affine map: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, inner: Matrix) -> Matrix:
        """Give the map that applies ``inner`` first, then this one."""
        return Matrix(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    def __str__(self) -> str:
        values = (self.a, self.b, self.c, self.d, self.e, self.f)
        return "matrix(" + " ".join(f"{value:.6g}" for value in values) + ")"


@dataclass(frozen=True, slots=True)
class Shape:
    """A path in its own coordinates; ``stroke`` is a width there, 0 for none."""

    path: str
    matrix: Matrix
    is_filled: bool = True
    stroke: float = 0.0


@dataclass(frozen=True, slots=True)
class Page:
    """A page of shapes; ``width`` and ``height`` are in the shapes' own units.

    On paper the page is 210 mm wide (A4).
    """

    width: float
    height: float
    shapes: tuple[Shape, ...]

    def to_svg(self) -> str:
        """Give the page as SVG made of paths alone."""
        paths = "".join(
            f'<path d="{shape.path}" transform="{shape.matrix}" '
            f'fill="{"#000000" if shape.is_filled else "none"}"'
            + (f' stroke="#000000" stroke-width="{shape.stroke:g}"' if shape.stroke else "")
            + "/>"
            for shape in self.shapes
        )
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_MM}mm" '
            f'height="{WIDTH_MM * self.height / self.width:g}mm" '
            f'viewBox="0 0 {self.width:g} {self.height:g}">{paths}</svg>'
        )


@dataclass(frozen=True, slots=True)
class _Type:
    """How text is set at a place."""

    size: float = 0.0
    is_italic: bool = False
    is_bold: bool = False
    is_music: bool = False


def flatten(svg: str) -> Page:
    """Turn a page drawn by verovio (with its size in pixels) into shapes."""
    root = fromstring(svg)  # noqa: S314 -- drawn by verovio a moment ago
    width, height = (_numbers(root.get(side, "0"))[0] for side in ("width", "height"))
    symbols = {
        element.get("id", ""): element for defs in root.iter(f"{_SVG}defs") for element in defs
    }
    shapes: list[Shape] = []
    for inner in root.findall(f"{_SVG}svg"):
        _, _, box_width, box_height = _numbers(inner.get("viewBox", "0 0 1 1"))
        scale = Matrix(a=width / box_width, d=height / box_height)
        shapes += _walk(inner, scale, _Type(), symbols)
    return Page(width, height, tuple(shapes))


def _numbers(text: str) -> list[float]:
    return [float(number) for number in _NUMBER.findall(text)]


def _transform(text: str | None) -> Matrix:
    found = Matrix()
    for name, inside in _CALL.findall(text or ""):
        values = _numbers(inside)
        if name == "translate":
            step = Matrix(e=values[0], f=values[1] if len(values) > 1 else 0.0)
        elif name == "scale":
            step = Matrix(a=values[0], d=values[-1])
        elif name == "rotate":
            turn = math.radians(values[0])
            step = Matrix(math.cos(turn), math.sin(turn), -math.sin(turn), math.cos(turn))
            if len(values) == 3:
                there, back = Matrix(e=values[1], f=values[2]), Matrix(e=-values[1], f=-values[2])
                step = there.then(step).then(back)
        else:
            step = Matrix(*values)
        found = found.then(step)
    return found


def _walk(
    element: Element, matrix: Matrix, set_in: _Type, symbols: dict[str, Element]
) -> Iterator[Shape]:
    classes = set((element.get("class") or "").split())
    if classes & _HIDDEN:
        return
    set_in = _inherit(element, set_in, classes)
    matrix = matrix.then(_transform(element.get("transform")))
    tag = element.tag.removeprefix(_SVG)
    if tag == "text":
        yield from _set_text(element, matrix, set_in)
        return
    if tag == "use":
        symbol = symbols.get((element.get(_HREF) or "").removeprefix("#"))
        if symbol is not None:
            place = _numbers(f"{element.get('x', '0')} {element.get('y', '0')}")
            yield from _walk(symbol, matrix.then(Matrix(e=place[0], f=place[1])), set_in, symbols)
        return
    path = _path_of(element, tag)
    if path:
        stroke = _numbers(element.get("stroke-width", "0"))[0]
        filled = element.get("fill") != "none" and tag != "polyline"
        yield Shape(path, matrix, filled, stroke)
    for child in element:
        yield from _walk(child, matrix, set_in, symbols)


def _path_of(element: Element, tag: str) -> str:
    """Give a basic shape as the data of a path, empty for a group."""
    if tag == "path":
        return element.get("d", "")
    if tag in ("polygon", "polyline"):
        values = _numbers(element.get("points", ""))
        points = " L".join(f"{x:g} {y:g}" for x, y in zip(values[::2], values[1::2], strict=True))
        return f"M{points}{'Z' if tag == 'polygon' else ''}" if points else ""
    if tag == "rect":
        x, y, width, height = (
            _numbers(element.get(name, "0"))[0] for name in ("x", "y", "width", "height")
        )
        return f"M{x:g} {y:g}h{width:g}v{height:g}h{-width:g}Z"
    if tag == "ellipse":
        x, y, rx, ry = (_numbers(element.get(name, "0"))[0] for name in ("cx", "cy", "rx", "ry"))
        half = f"a{rx:g} {ry:g} 0 1 0"
        return f"M{x - rx:g} {y:g}{half} {2 * rx:g} 0{half} {-2 * rx:g} 0Z"
    return ""


def _inherit(element: Element, set_in: _Type, classes: set[str]) -> _Type:
    """Give the type after an element's classes and attributes, as verovio's sheet has it."""
    if classes & _BOLD:
        set_in = replace(set_in, is_bold=True)
    if classes & _ITALIC:
        set_in = replace(set_in, is_italic=True)
    size, style = element.get("font-size"), element.get("font-style")
    weight, family = element.get("font-weight"), element.get("font-family")
    if size:
        set_in = replace(set_in, size=_numbers(size)[0])
    if style:
        set_in = replace(set_in, is_italic=style == "italic")
    if weight:
        set_in = replace(set_in, is_bold=weight == "bold")
    if family and not element.tag.endswith("svg"):
        set_in = replace(set_in, is_music=MUSIC_FONT in family)
    return set_in


def set_glyph(
    glyph: Glyph, size: float, x: float, y: float, *, is_bold: bool = False, slant: float = 0.0
) -> Shape:
    """Give a glyph's outline on a baseline; ``slant`` is how far it leans, of its height."""
    scale = size / glyph.units_per_em
    stroke = _BOLD_STROKE * glyph.units_per_em if is_bold else 0.0
    return Shape(glyph.path, Matrix(a=scale, c=slant * scale, d=-scale, e=x, f=y), stroke=stroke)


def _set_text(element: Element, matrix: Matrix, set_in: _Type) -> Iterator[Shape]:
    """Set a ``<text>``: runs one after another, shifted by their dx and dy."""
    x, y = (_numbers(element.get(name, "0"))[0] for name in ("x", "y"))
    anchor = element.get("text-anchor", "start")
    laid, width = _lay_runs(element, set_in)
    x -= {"middle": width / 2, "end": width}.get(anchor, 0.0)
    for shape in laid:
        yield replace(shape, matrix=matrix.then(Matrix(e=x, f=y)).then(shape.matrix))


def _lay_runs(element: Element, set_in: _Type) -> tuple[list[Shape], float]:
    """Give the outlines of a text from its own beginning, and its width."""
    shapes: list[Shape] = []
    pen = [0.0, 0.0]

    def lay(part: Element, now: _Type) -> None:
        now = _inherit(part, now, set())
        for index, name in enumerate(("dx", "dy")):
            pen[index] += sum(_numbers(part.get(name, "0")))
        if not len(part):
            for character in part.text or "":
                glyph = find_glyph(character, prefers_music=now.is_music)
                if glyph is None:
                    continue
                slant = _SLANT if now.is_italic and not now.is_music else 0.0
                if glyph.path:
                    shape = set_glyph(glyph, now.size, *pen, is_bold=now.is_bold, slant=slant)
                    shapes.append(shape)
                pen[0] += glyph.advance * now.size
        for child in part:
            if child.tag != f"{_SVG}title":  # a tooltip, not text
                lay(child, now)

    for child in element:
        lay(child, set_in)
    return shapes, pen[0]
