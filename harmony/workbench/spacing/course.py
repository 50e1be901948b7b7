"""Roughness and spacing over the whole progression, as plain lines under the notation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from harmony.acoustics.course import follow
from harmony.pitch.spelling import Pitch
from harmony.units import quarters_to_json
from harmony.voicings.realisation import Realisation
from harmony.workbench.spacing.pen import (
    SOFT,
    draw_dot,
    draw_line,
    draw_path,
    frame_picture,
    write,
)
from harmony.workbench.spacing.words import write_figure
from harmony.workbench.words import write_signs

HEIGHT = 190.0
LEFT, RIGHT = 176.0, 12.0
ROWS = ((34.0, 84.0), (108.0, 158.0))  # top and bottom of each line's field
FEWEST_CHORDS = 2
NARROWEST_FIGURE = 42.0  # pixels a chord needs for its figures to be written
#: Tops of the scales of a very smooth progression, and of one spaced much like the series.
LEAST_ROUGHNESS, LEAST_WIDENING = 0.2, 0.2


@dataclass(frozen=True, slots=True)
class Curve:
    """One line over time: its name, its values by chord, the top of its scale."""

    name: str
    about: str
    values: tuple[float | None, ...]
    most: float


def measure_course(realisation: Realisation) -> tuple[Curve, Curve]:
    """Measure the chords of a progression, plain tones, one after another."""
    return _measure(realisation.pitches)


# From chord to chord of one voicing the curves stay.
@lru_cache(maxsize=16)
def _measure(voiced: tuple[tuple[Pitch, ...], ...]) -> tuple[Curve, Curve]:
    moments = follow(voiced)
    rough = tuple(moment.roughness for moment in moments)
    gaps = tuple(moment.gap_profile for moment in moments)
    return (
        Curve("Roughness", "of plain tones", rough, _highest(rough, LEAST_ROUGHNESS)),
        Curve("Widening upward", "0: like the series", gaps, _highest(gaps, LEAST_WIDENING)),
    )


def draw_course(realisation: Realisation, *, chosen: int, width: float) -> str:
    """Draw both lines over the bars of the progression, as SVG ``width`` pixels wide.

    Empty for a single chord, which has no course.
    """
    if len(realisation.progression) < FEWEST_CHORDS:
        return ""
    curves = measure_course(realisation)
    slots = realisation.progression.slots
    end = float(realisation.progression.end)
    scale = (width - LEFT - RIGHT) / end
    times = [LEFT + float(slot.onset) * scale for slot in slots]
    lengths = [float(slot.duration) * scale for slot in slots]
    marks = [*_draw_bars(realisation, scale), *_draw_figures(realisation, times, lengths)]
    for curve, field in zip(curves, ROWS, strict=True):
        marks += _draw_curve(curve, field, times, lengths, chosen)
    x, length = times[chosen], lengths[chosen]
    marks.append(draw_line((x, HEIGHT - 8.0), (x + length, HEIGHT - 8.0), width=3.0))
    return frame_picture(marks, width=width, height=HEIGHT, label=_describe(realisation, curves))


def describe_course(realisation: Realisation) -> str:
    """Say in a sentence how the lines run."""
    return _describe(realisation, measure_course(realisation))


def _describe(realisation: Realisation, curves: Sequence[Curve]) -> str:
    told = []
    for curve in curves:
        known = [(value, place) for place, value in enumerate(curve.values) if value is not None]
        if not known:
            continue
        (least, first), (most, last) = min(known), max(known)
        slots = realisation.progression.slots
        told.append(
            f"{curve.name.lower()} from {write_figure(least)} in bar {slots[first].bar}"
            f" to {write_figure(most)} in bar {slots[last].bar}"
        )
    return f"In the course of the progression: {'; '.join(told)}."


def _highest(values: Sequence[float | None], least: float) -> float:
    return max([least, *(value for value in values if value is not None)])


def _draw_bars(realisation: Realisation, scale: float) -> list[str]:
    progression = realisation.progression
    meters = progression.meters
    marks = []
    for number in meters.bars_through(progression.end):
        x = LEFT + quarters_to_json(meters.bar_start(number)) * scale
        marks += [
            draw_line((x, ROWS[0][0] - 14.0), (x, ROWS[-1][1]), ink=0.3),
            write(str(number), x + 3.0, ROWS[0][0] - 18.0, size=11.5, ink=SOFT),
        ]
    x = LEFT + float(progression.end) * scale
    marks.append(draw_line((x, ROWS[0][0] - 14.0), (x, ROWS[-1][1]), ink=0.3))
    return marks


def _draw_figures(
    realisation: Realisation, times: Sequence[float], lengths: Sequence[float]
) -> list[str]:
    slots = realisation.progression.slots
    return [
        write(write_signs(slot.figure), x + 4.0, ROWS[-1][1] + 17.0, size=12)
        for slot, x, length in zip(slots, times, lengths, strict=True)
        if length >= max(NARROWEST_FIGURE, 7.0 * len(slot.figure))
    ]


def _draw_curve(
    curve: Curve,
    field: tuple[float, float],
    times: Sequence[float],
    lengths: Sequence[float],
    chosen: int,
) -> list[str]:
    top, bottom = field
    right = times[-1] + lengths[-1]
    marks = [
        write(curve.name, 0.0, top + 12.0, size=13, is_bold=True),
        write(curve.about, 0.0, top + 29.0, size=11.5, ink=SOFT),
        write(write_figure(curve.most), LEFT - 8.0, top + 5.0, size=11.5, anchor="end", ink=SOFT),
        write("0", LEFT - 8.0, bottom + 4.0, size=11.5, anchor="end", ink=SOFT),
        draw_line((LEFT, bottom), (right, bottom), ink=0.3),
        draw_line((LEFT, top), (right, top), ink=0.3, dashes="1 4"),
    ]
    data: list[str] = []
    was_silent = True
    for number, (value, x, length) in enumerate(zip(curve.values, times, lengths, strict=True)):
        if value is None:
            was_silent = True
            continue
        y = bottom - (bottom - top) * value / curve.most
        data.append(f"{'M' if was_silent else 'L'}{x:.1f} {y:.1f}H{x + length:.1f}")
        was_silent = False
        if number == chosen:
            marks.append(draw_dot(x + length / 2.0, y, radius=4.0))
        if length >= NARROWEST_FIGURE:
            above = y - 5.0 if y - top > 10.0 else y + 14.0
            marks.append(write(write_figure(value), x + 4.0, above, size=11.5))
    marks.append(draw_path("".join(data), width=1.8))
    return marks
