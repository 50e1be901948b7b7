"""A beginning kept and continued from its own bars to a chosen close, the moves found exactly."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.pitch import Line, Note, Theme
from harmony.themes.degrees import key_of, pitch_to_place, place_to_pitch
from harmony.themes.phrase import take_bars
from harmony.themes.transform import derive, move_in_key

MOST_BARS = 64  # to continue a theme by
#: How far a contour goes halfway and at the end, in staff steps from where it sets out.
_SHAPES = {"rise": (0, 5), "fall": (0, -5), "arch": (4, 0), "dip": (-4, 0)}
_SAID_AGAIN = 3.0  # what a bar costs that goes from and to the notes of one just heard
_OUTSIDE = 1.0  # what a step beyond a second outside the theme's range costs
_OFF_CONTOUR, _USED, _OFF_CLOSE = 1.1, 0.6, 2.0  # a step off; a bar used before; a step off
_WIDEST_JOINT = 4  # steps between one bar's last note and the next one's first
_SHIFTS = range(-9, 10)

_Move = tuple[int, int]  # which bar of the beginning, moved by how many steps


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bar of the theme as material: its notes from time 0 and where they stand."""

    line: Line
    first_step: int
    last_step: int
    lowest_step: int
    highest_step: int


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where a continuation goes: staff steps, and how many ``bars`` it has.

    It sets out from ``start``, lies ``peak`` from there halfway (0: it goes straight) and
    ``end`` from there at the end, and stays between ``lowest`` and ``highest``.
    """

    bars: int
    start: int
    peak: int
    end: int
    lowest: int
    highest: int

    def height_after(self, number: int) -> float:
        """Where the line should stand after bar ``number`` of it, counted from 0."""
        x = (number + 1) / self.bars
        return self.start + (
            2 * self.peak * (x if x <= 0.5 else 1 - x) if self.peak else self.end * x
        )


def continue_otherwise(
    theme: Theme, kept_bars: int, *, bars: int = 4, closing_degree: int = 1, contour: str = "arch"
) -> Theme:
    """Keep the beginning and continue it from its own bars to a chosen close.

    Each new bar is a bar of the beginning moved by steps of the key, so the
    continuation speaks the theme's language; the moves are chosen together, over
    all choices of bars and moves, so that joints are smooth, the line stays near the
    theme's range and follows the ``contour`` (``rise``, ``fall``, ``arch``, ``dip``)
    and the last note is the ``closing_degree`` held to the end of its bar.

    Raises
    ------
    HarmonyError
        For another contour, too few or too many bars, or a beginning without a bar that
        starts with a note.
    """
    if contour not in _SHAPES:
        raise HarmonyError(f"{contour!r} is not a contour; it is rise, fall, arch or dip.")
    if bars < 1 or kept_bars < 1:
        raise HarmonyError("Keep at least one bar and continue for at least one.")
    if bars > MOST_BARS:
        raise HarmonyError(
            f"{bars} bars are more than a theme is continued for; up to {MOST_BARS} are accepted."
        )
    first = max(theme.meters.first_bar, 1)
    head = take_bars(theme, theme.meters.first_bar, first + kept_bars - 1)
    key = key_of(theme)
    material = _bars_of(head)
    if not material:
        raise HarmonyError("The beginning that is kept has no bar that starts with a note.")
    last_pitch = head.line.sounding[-1].pitch
    assert last_pitch is not None
    start, _ = pitch_to_place(last_pitch, key)
    own = [note.pitch.staff_step for note in theme.line.sounding if note.pitch]
    plan = _Plan(bars, start, *_SHAPES[contour], min(own) - 1, max(own) + 1)
    moves = _choose(material, plan, key.degree(closing_degree).step)
    return _write(theme, head, material, moves, closing_degree)


def _bars_of(head: Theme) -> list[_Bar]:
    material = []
    for number in head.meters.bars_through(head.line.end):
        if number == 0:
            continue
        start = head.meters.bar_start(number)
        inside = head.line.between(start, start + head.meters.bar_length(number)).moved(-start)
        if inside.notes and inside.notes[0].pitch and inside.notes[0].onset == 0:
            steps = [note.pitch.staff_step for note in inside if note.pitch]
            material.append(_Bar(inside, steps[0], steps[-1], min(steps), max(steps)))
    return material


def _choose(material: Sequence[_Bar], plan: _Plan, closing_step: int) -> tuple[_Move, ...]:
    """The cheapest moves, one a bar; ``closing_step`` is the letter to close on, 0 to 6 from C.

    An exact table, bar by bar, over where the line has come to.
    """
    best: dict[int, tuple[float, tuple[_Move, ...]]] = {plan.start: (0.0, ())}
    for number in range(plan.bars):
        found: dict[int, tuple[float, tuple[_Move, ...]]] = {}
        is_last = number == plan.bars - 1
        for at, (cost, path) in best.items():
            for move in itertools.product(range(len(material)), _SHIFTS):
                first, landing = _ends_of(material, move)
                joint = abs(first - at)
                if joint > _WIDEST_JOINT or (is_last and joint == 0):
                    continue
                price = cost + abs(joint - 1)
                price += _OFF_CONTOUR * abs(landing - plan.height_after(number))
                price = _add_price_of(move, price, material, path, plan)
                if landing not in found or price < found[landing][0]:
                    found[landing] = (price, (*path, move))
        best = found

    def off_close(step: int) -> int:
        return min((step - closing_step) % 7, (closing_step - step) % 7)

    ends = ((cost + _OFF_CLOSE * off_close(step), path) for step, (cost, path) in best.items())
    return min(ends)[1]


def _add_price_of(
    move: _Move, price: float, material: Sequence[_Bar], path: tuple[_Move, ...], plan: _Plan
) -> float:
    """Add what a move costs for itself: heard before, or beyond the theme's range."""
    index, shift = move
    bar = material[index]
    price += _USED * sum(1 for used in path if used[0] == index)
    ends = _ends_of(material, move)
    price += _SAID_AGAIN * sum(_ends_of(material, used) == ends for used in path[-3:])
    price += _OUTSIDE * max(0, bar.highest_step + shift - plan.highest)
    price += _OUTSIDE * max(0, plan.lowest - bar.lowest_step - shift)
    return price


def _ends_of(material: Sequence[_Bar], move: _Move) -> tuple[int, int]:
    bar, shift = material[move[0]], move[1]
    return bar.first_step + shift, bar.last_step + shift


def _write(
    theme: Theme,
    head: Theme,
    material: Sequence[_Bar],
    moves: tuple[_Move, ...],
    closing_degree: int,
) -> Theme:
    """Write the beginning and the moves after it, the last bar cut short for its closing note."""
    key = key_of(theme)
    notes = list(head.line.notes)
    at = head.meters.bar_start(max(head.meters.bars_through(head.line.end)) + 1)
    for index, shift in moves:
        notes.extend(move_in_key(material[index].line, shift, key).moved(at).notes)
        at += head.meters.meter_at(1).bar_quarters
    last_start = at - head.meters.meter_at(1).bar_quarters
    final_bar = [note for note in notes if note.onset >= last_start]
    keep = max(1, len(final_bar) // 2)
    anchor = final_bar[min(keep, len(final_bar) - 1)]
    cut = [note for note in notes if note.onset < anchor.onset]
    pitch = anchor.pitch or cut[-1].pitch
    assert pitch is not None
    step, _ = pitch_to_place(pitch, key)
    goal = key.degree(closing_degree).step
    near = min(
        (step + move for move in range(-3, 4) if (step + move - goal) % 7 == 0),
        key=lambda s: abs(s - step),
    )
    cut.append(Note(anchor.onset, at - anchor.onset, place_to_pitch(near, 0, key)))
    return derive(
        theme,
        f"beginning kept, continued for {len(moves)} bars to degree {closing_degree}",
        Line(tuple(cut)),
        meters=head.meters,
        phrase_ends=(at,),
    )
