"""Text as outlines of verovio's own fonts, so that a picture needs no fonts of its reader.

Verovio carries its text and music fonts as WOFF2 inside style sheets; fontTools
and brotli open them.
"""

from __future__ import annotations

import base64
import io
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

MUSIC_FONT = "Leipzig"
_TEXT_FONT = "Liberation"
_EMBEDDED = re.compile(r"base64,([^)]+)\)")


@dataclass(frozen=True, slots=True)
class Glyph:
    """An outline in units of an em (y upward), and how far it moves the pen."""

    path: str
    advance: float
    units_per_em: int


@cache
def _font(name: str) -> TTFont:
    sheet = (files("verovio") / "data" / f"{name}.css").read_text(encoding="utf-8")
    match = _EMBEDDED.search(sheet)
    assert match is not None
    return TTFont(io.BytesIO(base64.b64decode(match[1])))


@lru_cache(maxsize=2048)
def find_glyph(character: str, *, prefers_music: bool) -> Glyph | None:
    """Give the outline of a character from the text font or, failing that, the music font.

    None where neither has it.
    """
    names = (_TEXT_FONT, MUSIC_FONT)
    for name in reversed(names) if prefers_music else names:
        font = _font(name)
        glyph_name = font.getBestCmap().get(ord(character))
        if glyph_name is None:
            continue
        glyphs = font.getGlyphSet()
        pen = SVGPathPen(glyphs)
        glyphs[glyph_name].draw(pen)
        advance = font["hmtx"][glyph_name][0] / font["head"].unitsPerEm
        return Glyph(pen.getCommands(), advance, font["head"].unitsPerEm)
    return None
