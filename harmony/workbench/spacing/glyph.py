"""Signs of notation as outlines, taken from the engraver's own music font.

Outlines, not a font, so that a saved picture shows them everywhere.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

FONT = "Leipzig"
UNITS_PER_SPACE = 250.0  # of the font; a staff space is the distance between two lines

#: SMuFL's code points of the signs drawn here.
WHOLE_NOTE, TREBLE_CLEF, BASS_CLEF = "E0A2", "E050", "E062"
ACCIDENTALS = {-2: "E264", -1: "E260", 0: "E261", 1: "E262", 2: "E263"}

_OUTLINE = re.compile(r'\bd="([^"]+)"')


@cache
def outline_of(code: str) -> str:
    """Give a sign's outline as SVG path data in the font's units, y upward."""
    text = files("verovio").joinpath("data", FONT, f"{code}.xml").read_text(encoding="utf-8")
    found = _OUTLINE.search(text)
    if found is None:
        raise LookupError(f"the engraver's font has no outline of {code}")
    return found[1]


def draw_glyph(code: str, x: float, y: float, space: float) -> str:
    """Draw a sign with its origin at (x, y) for staves of ``space`` between lines."""
    scale = space / UNITS_PER_SPACE
    return (
        f'<path fill="currentColor" d="{outline_of(code)}"'
        f' transform="translate({x:.1f} {y:.1f}) scale({scale:.4f} {-scale:.4f})"/>'
    )
