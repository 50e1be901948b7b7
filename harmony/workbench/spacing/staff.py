"""The chord engraved on two staves, at the heights of a pitch axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmony.pitch.spelling import Pitch
from harmony.workbench.spacing.axis import Axis, letters_above_middle
from harmony.workbench.spacing.glyph import (
    ACCIDENTALS,
    BASS_CLEF,
    TREBLE_CLEF,
    WHOLE_NOTE,
    draw_glyph,
)
from harmony.workbench.spacing.pen import draw_line

#: Lines of the bass and treble staff, as letters above C4.
STAVES = ((-10, -8, -6, -4, -2), (2, 4, 6, 8, 10))
CLEFS = ((BASS_CLEF, -4), (TREBLE_CLEF, 4))
HEAD_WIDTH = 1.62  # in staff spaces, as all that follows
CLEF_AT = 0.35
CLEF_WIDTH = 2.7
HEAD_AT = 6.2
FIRST_ACCIDENTAL = 1.15  # left of the heads
NEXT_ACCIDENTAL = 0.95
ACCIDENTAL_REACH = 6  # letters between two accidentals that may stand in one column
STAFF_WIDTH = 10.0  # at least
BEYOND_HEADS = 0.4
LINE_WIDTH = 0.075


@dataclass(frozen=True, slots=True)
class Head:
    """A notehead on the picture: where its middle lies, left and right."""

    left: float
    right: float
    y: float


def draw_chord(pitches: Sequence[Pitch], axis: Axis, left: float) -> tuple[list[str], list[Head]]:
    """Draw a chord of whole notes, lowest first; give the marks and where the heads are."""
    space = axis.space
    places = [letters_above_middle(pitch) for pitch in pitches]
    # beside another form of the same letter a natural says so
    signed = [
        pitch.alter != 0 or places.count(p) > 1 for p, pitch in zip(places, pitches, strict=True)
    ]
    columns = _columns_of(places, signed)
    signs = FIRST_ACCIDENTAL + max(columns, default=0) * NEXT_ACCIDENTAL
    heads_at = left + max(HEAD_AT, CLEF_AT + CLEF_WIDTH + signs) * space
    heads = [
        Head(x, x + HEAD_WIDTH * space, axis.y_of_letter(place))
        for place, side in zip(places, _sides_of(places), strict=True)
        for x in (heads_at + side * (HEAD_WIDTH - 0.1) * space,)
    ]
    right = staff_edge(heads, left, axis)
    thin = max(0.7, LINE_WIDTH * space)
    marks = [
        draw_line((left, axis.y_of_letter(line)), (right, axis.y_of_letter(line)), width=thin)
        for staff in STAVES
        for line in staff
    ]
    ends = axis.y_of_letter(STAVES[1][-1]), axis.y_of_letter(STAVES[0][0])
    marks.append(draw_line((left, ends[0]), (left, ends[1]), width=thin))
    for clef, line in CLEFS:
        marks.append(draw_glyph(clef, left + CLEF_AT * space, axis.y_of_letter(line), space))
    for place, head in zip(places, heads, strict=True):
        marks += _ledger_lines(place, head.left, axis, thin)
        marks.append(draw_glyph(WHOLE_NOTE, head.left, head.y, space))
    for place, pitch, is_signed, column in zip(places, pitches, signed, columns, strict=True):
        if is_signed and pitch.alter in ACCIDENTALS:
            x = heads_at - (FIRST_ACCIDENTAL + column * NEXT_ACCIDENTAL) * space
            marks.append(draw_glyph(ACCIDENTALS[pitch.alter], x, axis.y_of_letter(place), space))
    return marks, heads


def staff_edge(heads: Sequence[Head], left: float, axis: Axis) -> float:
    """Give where the staves end: beyond every head, however many stand side by side."""
    farthest = max((head.right for head in heads), default=left)
    return max(left + STAFF_WIDTH * axis.space, farthest + BEYOND_HEADS * axis.space)


def _sides_of(places: Sequence[int]) -> list[int]:
    """Give how many heads further right each stands, so that seconds and unisons do not overlap."""
    tops: list[int] = []  # by side: the letter of its highest head
    sides = []
    for place in places:
        side = next((n for n, top in enumerate(tops) if place - top > 1), len(tops))
        if side == len(tops):
            tops.append(place)
        tops[side] = place
        sides.append(side)
    return sides


def _columns_of(places: Sequence[int], signed: Sequence[bool]) -> list[int]:
    """Give the column of each accidental, 0 next to the heads, so that none overlap."""
    lowest_free: list[int] = []  # by column: the letter its next accidental may have at least
    columns = []
    for place, is_signed in zip(places, signed, strict=True):
        if not is_signed:
            columns.append(0)
            continue
        column = next((n for n, free in enumerate(lowest_free) if place >= free), len(lowest_free))
        if column == len(lowest_free):
            lowest_free.append(0)
        lowest_free[column] = place + ACCIDENTAL_REACH
        columns.append(column)
    return columns


def _ledger_lines(place: int, x: float, axis: Axis, width: float) -> list[str]:
    lowest, highest = STAVES[0][0], STAVES[1][-1]
    if place == 0:
        lines = [0]
    elif place > highest:
        lines = list(range(highest + 2, place + 1, 2))
    else:
        lines = list(range(lowest - 2, place - 1, -2))
    reach = 0.4 * axis.space
    return [
        draw_line(
            (x - reach, axis.y_of_letter(line)),
            (x + HEAD_WIDTH * axis.space + reach, axis.y_of_letter(line)),
            width=width * 1.3,
        )
        for line in lines
    ]
