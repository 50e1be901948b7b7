"""The notation of the theme desk: a result for the room there is, and small first bars."""

from __future__ import annotations

from functools import lru_cache

from harmony.workbench.page import page_units
from harmony.workbench.theme.result import Result
from harmony.writing.engraving import engrave, engrave_evenly

_LEFT = 40  # room for the bar's number before a line of music
_BOTTOM = 50  # room for the numbers of faults under the last line
_SMALL_UNITS = 1150
SMALL_BARS = 2


@lru_cache(maxsize=32)
def draw_result(result: Result, *, width: int) -> str:
    """Give the picture as SVG for a page ``width`` screen pixels wide."""
    return engrave_evenly(
        result.to_score(),
        concert=True,
        pageWidth=page_units(width),
        pageMarginLeft=_LEFT,
        pageMarginRight=0,
        pageMarginTop=20,
        pageMarginBottom=_BOTTOM,
    ).svg


@lru_cache(maxsize=64)
def draw_small(result: Result) -> str:
    """Give the bars in which all voices are there, small, on one line."""
    return engrave(
        result.telling_bars(SMALL_BARS).to_score(),
        concert=True,
        pageWidth=_SMALL_UNITS,
        breaks="none",
        pageMarginLeft=0,
        pageMarginRight=0,
        pageMarginTop=10,
        pageMarginBottom=10,
    ).svg
