"""The notation of the shown alternative, engraved for the room there is."""

from __future__ import annotations

import re

from harmony.scoring.score import Score
from harmony.workbench.page import page_units
from harmony.workbench.progression.naming import work_to_score
from harmony.workbench.progression.work import Work
from harmony.writing.engraving import Engraving, engrave_evenly

LEFT = 22  # abbreviated names of players lean out of verovio's own margin
BOTTOM = 50  # room for the costs under the last line of music
BETWEEN_SYSTEMS = 14
FULLEST_LAST_LINE = 0.45  # a last line of music this full is drawn out to the margin
#: Ids the engraver makes up, and classes said twice: without them a bar whose music and
#: place stay is the same text, which the screen need not draw again.
_SPARE = re.compile(r' data-id="(?!s\d+v\d|m\d+")[^"]*"| data-class="[^"]*"')


class Drawing:
    """The desk's notation, drawn again only where it changed.

    While the progression, the players and the room stay, every bar stays on its
    line of music, so that nothing jumps under a slider.
    """

    def __init__(self) -> None:
        self._work: Work | None = None
        self._width = 0
        self._told: tuple[object, ...] = ()
        self._engraving: Engraving | None = None
        self._picture = ""

    def draw(self, work: Work, *, width: int) -> str:
        """Give the picture as SVG for a page ``width`` screen pixels wide."""
        # All that the score depends on besides the problem: telling it apart saves writing it.
        told = (work.shown.pitches, work.choices.names, work.choices.hides_names)
        is_same_page = (
            self._work is not None and work.problem is self._work.problem and width == self._width
        )
        if self._engraving is None or not is_same_page or told != self._told:
            lines = self._engraving.lines if self._engraving and is_same_page else ()
            self._engraving = engrave_for_screen(work_to_score(work), width, lines)
            self._picture = lighten(self._engraving)
            self._work, self._width, self._told = work, width, told
        return self._picture


def lighten(engraving: Engraving) -> str:
    """Give the picture without what no screen needs."""
    return _SPARE.sub("", engraving.svg)


def engrave_for_screen(score: Score, width: int, lines: tuple[int, ...] = ()) -> Engraving:
    """Engrave a score as it sounds for a page ``width`` screen pixels wide.

    ``lines`` are those of an earlier engraving, to be kept; none: as they come.
    """
    return engrave_evenly(
        score,
        concert=True,
        lines=lines,
        pageWidth=page_units(width),
        pageMarginLeft=LEFT,
        pageMarginRight=0,
        pageMarginTop=20,
        pageMarginBottom=BOTTOM,
        spacingSystem=BETWEEN_SYSTEMS,
        minLastJustification=FULLEST_LAST_LINE,
    )
