"""The notation of the shown alternative, engraved for the room there is."""

from __future__ import annotations

from harmony.workbench.progression.naming import work_to_score
from harmony.workbench.progression.work import Work
from harmony.workbench.page import page_units
from harmony.writing.engraving import engrave

LEFT = 22  # abbreviated names of players lean out of verovio's own margin
BOTTOM = 50  # room for the costs under the last line of music
BETWEEN_SYSTEMS = 14
FULLEST_LAST_LINE = 0.45  # a last line of music this full is drawn out to the margin


def draw_work(work: Work, *, width: int) -> str:
    """Give the picture as SVG for a page ``width`` screen pixels wide."""
    engraving = engrave(
        work_to_score(work),
        concert=True,
        pageWidth=page_units(width),
        pageMarginLeft=LEFT,
        pageMarginRight=0,
        pageMarginTop=20,
        pageMarginBottom=BOTTOM,
        spacingSystem=BETWEEN_SYSTEMS,
        minLastJustification=FULLEST_LAST_LINE,
    )
    return engraving.svg
