"""The picture: the chord engraved, its notes, the partials beside them, and what rubs.

From left to right, all at the same height: the chord on two staves, its notes on an
axis of pitch, the partials of the fundamental, and the pairs of notes that are rough.
"""

from __future__ import annotations

from collections.abc import Sequence

from harmony.acoustics.crowding import LowInterval
from harmony.acoustics.rubbing import RoughPair
from harmony.acoustics.series import harmonic_series
from harmony.acoustics.spacing import Spacing
from harmony.pitch.spelling import Pitch
from harmony.workbench.spacing.axis import Axis
from harmony.workbench.spacing.hearing import Heard
from harmony.workbench.spacing.pen import (
    SOFT,
    draw_dot,
    draw_line,
    draw_path,
    draw_warning,
    frame_picture,
    keep_apart,
    write,
)
from harmony.workbench.spacing.staff import draw_chord, staff_edge
from harmony.workbench.spacing.words import name_roughness, tell_deviation
from harmony.workbench.words import write_pitch

WIDTH, HEIGHT = 812.0, 500.0
TOP, BOTTOM = 62.0, 476.0  # of the axis
WIDEST_SEMITONE = 6.2
USUAL_PARTIALS = 16
STAFF_LEFT = 6.0
NAMES_AT, NOTES_AT, PARTIALS_AT, LABELS_AT, PAIRS_AT = 274.0, 296.0, 374.0, 394.0, 612.0
HEADS_AT = 30.0
LINE_OF_TEXT = 13.5
MOST_PAIRS = 6
PIXELS_PER_ROUGHNESS = 30.0
THINNEST = 0.9
MOST_OF_HEIGHT = 0.6  # how thick a curve may be in parts of its height
LEAST_BULGE, BULGE, MOST_BULGE = 9.0, 0.36, 56.0  # of a curve: pixels, parts of its height, pixels


def draw_spacing(heard: Heard) -> str:
    """Draw a chord against the harmonic series, as SVG."""
    found = heard.found
    partials = _partials_shown(found)
    pitches = found.pitches
    highest = max(pitches[-1].midi, found.fundamental.midi + 48) + 1.0
    staff = (41.0, 79.0)  # F2 and G5, just outside the outer lines
    axis = Axis.around(
        (found.fundamental.midi - 1.0, highest, *staff),
        top=TOP, bottom=BOTTOM, widest=WIDEST_SEMITONE,
    )  # fmt: skip
    names = keep_apart([axis.y_of(pitch.midi) for pitch in pitches], LINE_OF_TEXT)
    marks = [
        *_draw_heads(found),
        *_draw_notes(pitches, names, axis),
        *_draw_partials(found, partials, axis),
        *_draw_pairs(found, axis),
    ]
    return frame_picture(marks, width=WIDTH, height=HEIGHT, label=describe_picture(heard))


def describe_picture(heard: Heard) -> str:
    """Say in a sentence what the picture shows."""
    notes = ", ".join(
        f"{write_pitch(one.pitch)} at partial {one.partial}, {tell_deviation(one.deviation_cents)}"
        for one in heard.found.placed
    )
    return f"{heard.slot.figure} against the series of {heard.found.fundamental}: {notes}."


def _partials_shown(found: Spacing) -> tuple[int, ...]:
    """Give the partials to draw: 1 to 16, and those beyond that a note lies on."""
    beyond = {one.partial for one in found.placed if one.is_in_series}
    return tuple(sorted({*range(1, USUAL_PARTIALS + 1), *beyond}))


def _draw_heads(found: Spacing) -> list[str]:
    return [
        write("The chord", STAFF_LEFT, HEADS_AT, size=13, is_bold=True),
        write("Notes", NOTES_AT, HEADS_AT, size=13, is_bold=True, anchor="end"),
        write(
            f"Partials of {write_pitch(found.fundamental)}", PARTIALS_AT, HEADS_AT, size=13,
            is_bold=True,
        ),
        write("Rough pairs", PAIRS_AT, HEADS_AT, size=13, is_bold=True),
        write("thicker is rougher", PAIRS_AT, HEADS_AT + 16, ink=SOFT),
        write("\u25cf with a note   \u25cb without", PARTIALS_AT, HEADS_AT + 16, ink=SOFT),
    ]  # fmt: skip


def _draw_notes(pitches: Sequence[Pitch], names: Sequence[float], axis: Axis) -> list[str]:
    marks, heads = draw_chord(pitches, axis, STAFF_LEFT)
    edge = staff_edge(heads, STAFF_LEFT, axis)
    marks.append(draw_line((NOTES_AT, TOP), (NOTES_AT, BOTTOM), ink=0.5))
    for pitch, name_y, head in zip(pitches, names, heads, strict=True):
        y = axis.y_of(pitch.midi)
        written = write_pitch(pitch)
        start = NAMES_AT - 8.0 * len(written) - 6.0
        marks += [
            draw_line((head.right + 4.0, head.y), (edge + 6.0, head.y), ink=0.5, dashes="2 3"),
            draw_line((edge + 6.0, head.y), (start, name_y), ink=0.5, dashes="2 3"),
            write(written, NAMES_AT, name_y + 4.5, size=13, anchor="end", is_bold=True),
            draw_line((NAMES_AT + 4.0, name_y), (NOTES_AT - 5.0, y), ink=0.5),
            draw_dot(NOTES_AT, y),
        ]
    return marks


def _draw_partials(found: Spacing, shown: Sequence[int], axis: Axis) -> list[str]:
    base = found.fundamental
    series = {one.number: one for one in harmonic_series(base, max(shown))}
    taken = {one.partial: one for one in found.placed if one.is_in_series}
    skipped = set(found.skipped)
    heights = [axis.y_of_partial(base, number) for number in shown]
    labels = keep_apart(heights, LINE_OF_TEXT)
    marks = [draw_line((PARTIALS_AT, heights[0]), (PARTIALS_AT, heights[-1]), ink=0.5)]
    for number, y, label_y in zip(shown, heights, labels, strict=True):
        note = taken.get(number)
        name = write_pitch(series[number].nearest)
        words = f"{number}  {name}"
        if note is not None:
            own = write_pitch(note.pitch)
            words += f"   {'' if own == name else own + ' '}{tell_deviation(note.deviation_cents)}"
        elif number in skipped:
            words += "   skipped"
        ink = 1.0 if note is not None else SOFT
        marks += [
            draw_dot(PARTIALS_AT, y, radius=3.6, is_hollow=note is None),
            draw_line((PARTIALS_AT + 5.0, y), (LABELS_AT - 4.0, label_y), ink=0.5),
            write(words, LABELS_AT, label_y + 4.2, is_bold=note is not None, ink=ink),
        ]
    for one in found.placed:
        y = axis.y_of(one.pitch.midi)
        if one.is_in_series:
            end = (PARTIALS_AT - 6.0, axis.y_of_partial(base, one.partial))
            marks.append(draw_line((NOTES_AT + 6.0, y), end, width=1.4))
        else:
            marks.append(write("not in it", NOTES_AT + 8.0, y + 4.0, size=11.5, ink=SOFT))
    return marks


def _draw_pairs(found: Spacing, axis: Axis) -> list[str]:
    marks = [draw_line((PAIRS_AT, TOP), (PAIRS_AT, BOTTOM), ink=0.5)]
    marks += [draw_dot(PAIRS_AT, axis.y_of(pitch.midi), radius=2.6) for pitch in found.pitches]
    rough = [pair for pair in found.rough_pairs if name_roughness(pair)][:MOST_PAIRS]
    middles = [_middle(pair, axis) for pair in rough]
    scale = _thickness(rough, axis)
    labels = keep_apart(middles, LINE_OF_TEXT)
    for pair, middle, label_y in zip(rough, middles, labels, strict=True):
        top, bottom = axis.y_of(pair.upper.midi), axis.y_of(pair.lower.midi)
        bulge = min(MOST_BULGE, LEAST_BULGE + BULGE * (bottom - top))
        width = max(THINNEST, scale * pair.amount)
        curve = (
            f"M{PAIRS_AT:.1f} {bottom:.1f}"
            f"Q{PAIRS_AT + 2 * bulge:.1f} {middle:.1f} {PAIRS_AT:.1f} {top:.1f}"
        )
        words = f"{write_pitch(pair.lower)}\u2013{write_pitch(pair.upper)} {name_roughness(pair)}"
        is_worst = pair.amount >= rough[0].amount * 0.5
        marks += [
            draw_path(curve, width=width),
            draw_line((PAIRS_AT + bulge + 1.0, middle), (PAIRS_AT + 64.0, label_y), ink=0.5),
            write(words, PAIRS_AT + 68.0, label_y + 4.2, is_bold=is_worst, size=11.5),
        ]
    if not rough:
        marks.append(write("none to speak of", PAIRS_AT + 12.0, (TOP + BOTTOM) / 2, ink=SOFT))
    return marks + _draw_low_intervals(found.low_intervals, axis)


def _thickness(rough: Sequence[RoughPair], axis: Axis) -> float:
    """Give pixels for an amount of roughness, so that no curve is a blot; one for the picture."""
    room = [
        MOST_OF_HEIGHT * (axis.y_of(pair.lower.midi) - axis.y_of(pair.upper.midi)) / pair.amount
        for pair in rough
    ]
    return min([PIXELS_PER_ROUGHNESS, *room])


def _middle(pair: RoughPair, axis: Axis) -> float:
    return axis.y_of((pair.lower.midi + pair.upper.midi) / 2.0)


def _draw_low_intervals(lows: Sequence[LowInterval], axis: Axis) -> list[str]:
    """Draw a bracket and the sign of a finding at each low interval, the lowest first."""
    marks = []
    for number, one in enumerate(lows[:4]):
        top, bottom = axis.y_of(one.upper.midi), axis.y_of(one.lower.midi)
        x = PAIRS_AT - 10.0 - 7.0 * number
        marks.append(
            draw_path(f"M{x + 4:.1f} {bottom:.1f}H{x:.1f}V{top:.1f}H{x + 4:.1f}", width=1.4)
        )
    if lows:
        lowest = min(lows, key=lambda one: one.lower.midi)
        x = PAIRS_AT - 26.0 - 7.0 * min(len(lows), 4)
        y = axis.y_of(lowest.lower.midi)
        marks += [
            draw_warning(x, y - 4.0),
            write("low", x - 12.0, y + 2.0, anchor="end", size=11.5),
        ]
    return marks
