"""The harmonic rhythm under the tune: its stretches dragged, split, joined, locked."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import ipywidgets

from harmony.errors import HarmonyError
from harmony.harmonising.spans import Span
from harmony.workbench.harmonising.grid import Grid, build_grid
from harmony.workbench.harmonising.state import Choices, Edit
from harmony.workbench.harmonising.words import say_place
from harmony.workbench.harmonising.work import Work
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.rhythm import Rhythm

ABOUT = (
    "Arrows choose a stretch, Shift and arrows move its beginning; Enter splits it, Delete joins"
    " it to the one before, Space locks it."
)
Make = Callable[[Work], Choices]


class HarmonicRhythm:
    """The line under the notation. ``box`` is what is laid out there."""

    def __init__(self, *, desk: str) -> None:
        self.line = Rhythm(desk=desk, about=ABOUT)
        self.actions = Actions()
        self.box: ipywidgets.Box = row(self.line, self.actions, name="hw-line")

    def on_change(self, callback: Callable[[Make], object]) -> None:
        """Call back with what makes the new choices out of the present work."""
        self.line.on_rhythm(
            lambda action, number, to: callback(lambda work: change(work, action, number, to))
        )
        self.actions.on_press(
            lambda action: callback(lambda work: change(work, action, chosen_span(work)))
        )

    def show(self, work: Work) -> None:
        """Show the stretches over the notation, and what can be done with the chosen one."""
        grid, spans, number = build_grid(work), work.found.spans, chosen_span(work)
        with self.line.hold_sync():
            self.line.spans = [_present(work, span) for span in spans]
            self.line.places = list_places(work, grid)
            self.line.over = [f"c-{column}" for column in range(len(grid.onsets))]
            self.line.chosen = number
            self.line.revision += 1
        is_chosen = number >= 0
        locked = is_chosen and spans[number].is_locked
        self.actions.items = [
            button("split", "Split", enabled=is_chosen and not locked),
            button("join", "Join to the one before", enabled=number > 0 and not locked),
            button("lock", "Unlock" if locked else "Lock", enabled=is_chosen),
        ]


def chosen_span(work: Work) -> int:
    """Give the number of the stretch the chosen place lies in, -1 where none is chosen."""
    place = work.choices.place
    spans = work.found.spans
    return next(
        (n for n, s in enumerate(spans) if place is not None and s.onset <= place < s.end), -1
    )


def change(work: Work, action: str, number: int, to: str = "") -> Choices:
    """Give the choices after something was done to a stretch."""
    span = _span(work, number)
    choices = work.choices
    if action == "choose":
        return choices.with_place(span.onset)
    if action == "lock":
        edit = Edit("lock", span.onset, span.end)
        if span.is_locked:
            edit = Edit("unlock", span.onset)
        return choices.with_edit(edit).with_place(span.onset)
    if action == "split":
        return choices.with_edit(Edit("split", _middle(work, span))).with_place(span.onset)
    if action == "move":
        try:
            time = Fraction(to)
        except ValueError as wrong:
            raise HarmonyError(f"{to!r} is no time in quarters.") from wrong
        return choices.with_edit(Edit("move", span.onset, time)).with_place(time)
    if number == 0:
        raise HarmonyError("No stretch of the harmonic rhythm comes before the first.")
    return choices.with_edit(Edit("join", span.onset)).with_place(_span(work, number - 1).onset)


def _span(work: Work, number: int) -> Span:
    if not 0 <= number < len(work.found.spans):
        raise HarmonyError("No stretch of the harmonic rhythm is chosen; choose one first.")
    return work.found.spans[number]


def _middle(work: Work, span: Span) -> Fraction:
    """The beat, or division of one, nearest the middle of a stretch."""
    meters = work.theme.meters
    bar, _beat = meters.locate(span.onset)
    beat = meters.meter_at(bar).beats_quarters[0]
    for step in (beat, beat / 2, beat / 3):
        steps = round(span.duration / 2 / step)
        if 0 < steps * step < span.duration:
            return span.onset + steps * step
    raise HarmonyError("The stretch is too short to be split.")


def _present(work: Work, span: Span) -> dict[str, Any]:
    start = say_place(work.theme, span.onset)
    is_last = span.end >= work.melody.end
    end = "the end of the tune" if is_last else say_place(work.theme, span.end)
    locked = ", locked" if span.is_locked else ""
    return {
        "start": str(span.onset),
        "end": str(span.end),
        "locked": span.is_locked,
        "spoken": f"One chord from {start} to {end}{locked}",
    }


def list_places(work: Work, grid: Grid) -> list[dict[str, Any]]:
    """Give the times at which a stretch may begin, with what stands there in the picture.

    These are the beats, the notes of the tune, and every chord there is.
    """
    theme, end = work.theme, work.melody.end
    names: dict[Fraction, str] = {}
    for bar in theme.meters.bars_through(end):
        at = theme.meters.bar_start(bar) + theme.meters.bar_length(bar)
        for beat in reversed(theme.meters.meter_at(bar).beats_quarters):
            at -= beat
            names[at] = ""
    names |= {
        note.onset: f"n{index}"
        for index, note in enumerate(theme.line)
        if note.pitch is not None and note.duration > 0
    }
    names |= {onset: f"c-{column}" for column, onset in enumerate(grid.onsets)}
    first = grid.onsets[0]
    return [
        {"at": str(at), "quarters": float(at), "id": name}
        for at, name in sorted(names.items())
        if first <= at < end
    ]
