"""The engraved comparison: the tune, a row of figures for each alternative, notes of some."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from html import escape

from harmony.harmonising.score import line_to_part
from harmony.pitch.spelling import Pitch
from harmony.scoring import Event, KeyChange, Part, Score, Staff
from harmony.scoring.build import theme_to_score
from harmony.scoring.clef import ClefChange
from harmony.scoring.event import Lyric
from harmony.workbench.harmonising.counter import counter_of
from harmony.workbench.harmonising.grid import OTHER_FORM, OTHER_ROOT, Cell, Grid, build_grid
from harmony.workbench.harmonising.tune import open_given
from harmony.workbench.harmonising.voicing import (
    COUNTER,
    build_reduction,
    chords_of,
)
from harmony.workbench.harmonising.work import LETTERS, Work
from harmony.workbench.page import page_units
from harmony.writing.engraving import Engraving, engrave_evenly

ALL, ONE, NONE = "all", "the one shown", "none"
IN_NOTES = (ONE, ALL, NONE)
_LEFT = 70  # room for the letters before a line of music
_ON_THE_LINE = ("C", 4)  # where the engraver puts a rhythm on its one line
_BLANK = "\u00a0"  # keeps figures apart that are drawn bold, wider than the engraver thinks
_LETTERS_A_BLANK = 4
_LETTER_ROOM = 700  # from the letter's left edge to the staff, in the picture's units
_LETTER_SIZE = 340
#: Okabe and Ito's colours, a grey, and the ink that reads best on each, as the cards have them
_COLOURS = {
    "A": ("#0072b2", "#fff"), "B": ("#e69f00", "#000"), "C": ("#009e73", "#000"),
    "D": ("#cc79a7", "#000"), "E": ("#56b4e9", "#000"), "F": ("#f0e442", "#000"),
    "G": ("#d55e00", "#000"), "H": ("#999", "#000"),
}  # fmt: skip
_WEIGHTS = {OTHER_ROOT: ' font-weight="700"', OTHER_FORM: ' font-style="italic"'}
_STAFF = '<g data-id="[^"]*" data-class="staff" class="staff">'
_SYLLABLE = re.compile(
    r'<g data-id="[^"]*" data-class="syl" class="syl"><text x="(?P<x>[\d.-]+)"'
    r' y="(?P<y>[\d.-]+)"'
)
# The engraver's own ids are letters and figures: a hyphen keeps ours apart from them.
_RHYTHM = re.compile(r'data-id="c-(\d+)"')
_FIGURE = re.compile(
    r'<g data-id="f(?P<row>\d+)-(?P<column>\d+)" class="syl"[^>]*>'
    r'(?P<opening><text [^>]*><tspan [^>]*>)<tspan font-size="(?P<size>[^"]*)">.*?</text></g>'
)
_LINE_START = re.compile(r'<path d="M(-?\d+) (-?\d+) L')


def draw_work(work: Work, *, width: int) -> str:
    """Give the picture as SVG for a page ``width`` screen pixels wide.

    The figure of alternative ``r`` (from 0) in column ``c`` has the id ``f{r}-{c}``.
    """
    grid = build_grid(work)
    return _mark(_engrave(work, grid, width).svg, grid)


def _engrave(work: Work, grid: Grid, width: int, lines: tuple[int, ...] = ()) -> Engraving:
    """The picture before it is marked; ``lines`` are those to be kept, none: as they come."""
    return engrave_evenly(
        comparison_to_score(work, grid),
        lines=lines,
        concert=True,
        pageWidth=page_units(width),
        pageMarginLeft=_LEFT,
        pageMarginRight=0,
        pageMarginTop=20,
        pageMarginBottom=20,
        lyricSize=4.4,
        lyricTopMinMargin=3.0,
        spacingSystem=10,
        minLastJustification=0.45,
    )


class Drawing:
    """The picture as it was drawn last, so that figures alone can change in it at once."""

    def __init__(self) -> None:
        self._svg = ""
        self._drawn: tuple[object, ...] = ()
        self._room: tuple[object, ...] = ()
        self._lines: tuple[int, ...] = ()

    def draw(self, work: Work, *, width: int) -> str:
        """Give the picture drawn anew; bars stay on their lines of music where they can."""
        grid = build_grid(work)
        # Longer figures need more room than the lines of before may have.
        lengths = [[len(cell.text) if cell else 0 for cell in row] for row in grid.rows]
        longest = tuple(map(max, zip(*lengths, strict=True)))
        room = (work.theme, grid.onsets, longest, work.choices.in_notes, width)
        drawn = _engrave(work, grid, width, self._lines if room == self._room else ())
        self._room, self._lines = room, drawn.lines
        self._svg = _mark(drawn.svg, grid)
        self._drawn = _layout(work, grid, width)
        return self._svg

    def change_figures(self, work: Work, *, width: int) -> str | None:
        """Give the last picture with the figures of other answers; None where they do not fit.

        Chords written out in notes stay as they were drawn.
        """
        grid = build_grid(work)
        if self._drawn != _layout(work, grid, width):
            return None

        def write(found: re.Match[str]) -> str:
            row, column = int(found["row"]), int(found["column"])
            cell = grid.rows[row][column]
            text = escape(_BLANK if cell is None else _pad(cell.text))
            return (
                f'<g data-id="f{row}-{column}" class="syl"{_weight(cell)}>{found["opening"]}'
                f'<tspan font-size="{found["size"]}">{text}</tspan></tspan></text></g>'
            )

        return _FIGURE.sub(write, self._svg)


def _layout(work: Work, grid: Grid, width: int) -> tuple[object, ...]:
    """What two pictures must have in common for figures to be exchanged."""
    # A counter-melody goes with its chords, which a step of a slider may change.
    line = counter_of(work)
    return work.theme, grid.onsets, len(grid.rows), written_out(work), width, line


def _weight(cell: Cell | None) -> str:
    return "" if cell is None else _WEIGHTS.get(cell.kind, "")


def comparison_to_score(work: Work, grid: Grid) -> Score:
    """Give the tune over the harmonic rhythm with its rows of figures, and reductions below."""
    above = theme_to_score(work.theme, part_name="Tune")
    keys = above.keys or (KeyChange(Fraction(0), work.melody.key),)
    keys = () if work.found.is_keyless else keys
    parts = list(above.parts)
    counter, given = counter_of(work), open_given(work.choices.question)
    if counter is not None:
        parts.append(line_to_part(counter, COUNTER, prefix="counter-"))
    parts.append(_rhythm(grid, keys[0].key.fifths if keys else 0))
    if given.bass is not None:
        parts.append(line_to_part(given.bass, "Its bass", prefix="bass-"))
    parts += [
        build_reduction(
            work.alternatives[r], chords_of(work, r), name=LETTERS[r], prefix=f"{LETTERS[r]}s"
        )
        for r in written_out(work)
    ]
    return replace(
        above,
        parts=tuple(parts),
        keys=keys,
        title="",
    )


def written_out(work: Work) -> tuple[int, ...]:
    """The numbers of the alternatives written out in notes."""
    if work.choices.in_notes == ALL:
        return tuple(range(len(work.alternatives)))
    return () if work.choices.in_notes == NONE else (work.number,)


def _pad(text: str) -> str:
    """A figure with room after it, as bold letters are wider than the engraver thinks."""
    return text + _BLANK * (1 + len(text) // _LETTERS_A_BLANK)


def _rhythm(grid: Grid, fifths: int) -> Part:
    # As the signature has it, so that no accidental is drawn.
    alter = 1 if fifths >= 2 else -1 if fifths <= -6 else 0
    letter, octave = _ON_THE_LINE
    place = Pitch(letter, alter, octave)
    events = []
    for column, onset in enumerate(grid.onsets):
        cells = [row[column] for row in grid.rows]
        figures = tuple(
            Lyric(_BLANK if cell is None else _pad(cell.text), verse=number)
            for number, cell in enumerate(cells, start=1)
        )
        events.append(
            Event(
                onset,
                grid.length(column),
                (place,),
                marks=("unpitched",),
                lyrics=figures,
                id=f"c-{column}",
            )
        )
    staff = Staff(tuple(events), (ClefChange(Fraction(0), "percussion"),), lines=1)
    return Part("Chords", (staff,))


def _mark(svg: str, grid: Grid) -> str:
    """Name the figures, mark how they differ, and put the letters before their rows."""
    pieces = re.split(f"(?={_STAFF})", svg)
    return "".join(_mark_staff(piece, grid) if _RHYTHM.search(piece) else piece for piece in pieces)


def _mark_staff(staff: str, grid: Grid) -> str:
    begun = _LINE_START.search(staff)
    opening = re.match(_STAFF, staff)
    if begun is None or opening is None:
        return staff
    heights: dict[int, float] = {}
    out: list[str] = []
    for piece in re.split(r'(?=<g data-id="c-\d+")', staff):
        own = _RHYTHM.search(piece)
        column = int(own[1]) if own else -1
        row = -1

        # The engraver pushes some figures of a column aside; here they stand under each other.
        places = [found["x"] for found in _SYLLABLE.finditer(piece)]
        left = max(places, key=places.count, default="0")

        def name(found: re.Match[str], column: int = column, left: str = left) -> str:
            nonlocal row
            row += 1
            heights[row] = float(found["y"])
            cell = grid.rows[row][column]
            text = f'<text x="{left}" y="{found["y"]}"'
            return f'<g data-id="f{row}-{column}" class="syl"{_weight(cell)}>{text}'

        out.append(_SYLLABLE.sub(name, piece))
    edge = int(begun[1]) - _LETTER_ROOM
    # Each bar has its own piece of the staff; a line of music begins with a clef.
    begins = 'data-class="clef"' in staff
    rows = heights.items() if begins else ()
    letters = "".join(draw_letter(LETTERS[row], edge, y) for row, y in rows)
    return f"{opening[0]}{letters}{''.join(out)[opening.end() :]}"


def draw_letter(letter: str, x: float, y: float) -> str:
    """The letter of an alternative on its ground, as SVG, its left edge and base line given."""
    ground, ink = _COLOURS[letter]
    top = y - 0.82 * _LETTER_SIZE
    return (
        f'<rect x="{x:.0f}" y="{top:.0f}" width="{_LETTER_SIZE}" height="{_LETTER_SIZE}"'
        f' fill="{ground}"/>'
        f'<text x="{x + _LETTER_SIZE / 2:.0f}" y="{y - 35:.0f}" font-size="290px"'
        f' font-weight="700" text-anchor="middle" fill="{ink}">{escape(letter)}</text>'
    )
