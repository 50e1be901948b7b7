"""From what was found to what is shown at the theme desk; nothing here knows a widget."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

import numpy as np

from harmony.instruments.catalogue import instrument
from harmony.pitch import Theme
from harmony.themes.canon import Canons
from harmony.themes.degrees import find_theme_key, tell_key
from harmony.themes.follower import MOTIONS, STEPS, STRETCHES, Motion
from harmony.themes.portrait import describe_theme
from harmony.workbench.playback import build_tune, build_voice, sound_line
from harmony.workbench.theme.result import Result
from harmony.workbench.words import speak_pitch, write_beat, write_pitch, write_signs

PLAYER = "violin"
USUAL_SPEED = 96.0  # quarters a minute, where a theme does not say its own
SHOWN_FROM = 0.45  # a canon that scores less leaves its place on the chart empty,
SHOWN_AT_LEAST = 30  # unless it is among so many best and holds for a bar
_UNITS = ("unison", "2nd", "3rd", "4th", "5th", "6th", "7th", "octave", "9th", "10th", "11th",
          "12th", "13th", "14th", "two octaves")  # fmt: skip
_LETTERS = "abcdefgh"


@dataclass(frozen=True, slots=True)
class Moments:
    """The times at which something begins in a result, in order; each is one column to light."""

    onsets: tuple[Fraction, ...]

    @classmethod
    def of(cls, result: Result) -> Moments:
        """Collect the onsets of all lines."""
        found = {note.onset for line in result.lines for note in line if note.pitch}
        return cls(tuple(sorted(found)))

    def slot(self, onset: Fraction) -> int:
        """Give the number of the last moment at or before a time."""
        return max((i for i, at in enumerate(self.onsets) if at <= onset), default=0)


def present_notes(result: Result) -> list[dict[str, Any]]:
    """Give the notes to walk through and speak."""
    moments = Moments.of(result)
    places = {onset: number for number, onset in enumerate(moments.onsets)}
    notes = []
    for voice, (name, line) in enumerate(zip(result.names, result.lines, strict=True)):
        for index, note in enumerate(line):
            if note.pitch is None:
                continue
            bar, beat = result.theme.meters.locate(note.onset)
            notes.append(
                {
                    "id": f"{_LETTERS[voice]}{index}",
                    "slot": places[note.onset],
                    "voice": voice,
                    "spoken": f"{name}, bar {bar}, beat {write_beat(beat)}:"
                    f" {speak_pitch(note.pitch)}",
                    "pinned": False,
                }
            )
    return notes


def present_fault_marks(result: Result) -> list[dict[str, Any]]:
    """Give a numbered sign under each place where something is wrong."""
    moments = Moments.of(result)
    marks: dict[int, list[str]] = {}
    for number, fault in enumerate(result.faults, start=1):
        marks.setdefault(moments.slot(fault.offset), []).append(str(number))
    return [{"slot": slot, "text": f"! {', '.join(ns)}"} for slot, ns in sorted(marks.items())]


def present_fault_lines(result: Result) -> list[list[str]]:
    """Give each fault in words with its number."""
    return [
        [write_signs(f"{fault.message}."), str(number)]
        for number, fault in enumerate(result.faults, 1)
    ]


def present_tune(result: Result) -> dict[str, Any]:
    """Give the result as the player's tune."""
    player = instrument(PLAYER)
    moments = Moments.of(result).onsets
    end = max(line.end for line in result.lines)
    return build_tune(
        [build_voice(player, sound_line(line)) for line in result.lines],
        [
            (number, at, after - at)
            for number, (at, after) in enumerate(zip(moments, (*moments[1:], end), strict=True))
        ],
        meters=result.theme.meters,
        end=end,
    )


@lru_cache(maxsize=32)
def present_portrait(theme: Theme) -> str:
    """Say what there is to see in a theme, in one or two sentences."""
    seen = describe_theme(theme)
    low, high = write_pitch(seen.lowest), write_pitch(seen.highest)
    key = write_signs(tell_key(theme))
    if theme.key is None and (found := find_theme_key(theme)):
        other = f"{found.runner_up.tonic} {found.runner_up.mode}"
        key += f" Do 'key {other}' to the theme to read it so."
    said = f"{key} " if key else ""
    said += f"From {low} to {high}, highest in bar {seen.climax_bar}."
    if seen.outside:
        names = ", ".join(write_pitch(n.in_octave(4))[:-1] for n in seen.outside)
        said += f" Outside the key: {names}."
    told = "; ".join(repeat.describe() for repeat in seen.repeats[:3])
    return f"{said} {told[0].upper()}{told[1:]}." if told else said


def interval_words(steps: int) -> str:
    """Name a row of the chart: ``5th below``."""
    name = _UNITS[abs(steps)]
    return name if steps == 0 else f"{name} {'above' if steps > 0 else 'below'}"


def present_share(share: float) -> str:
    """Tell how much is looked at, 0 to 1, of a search for canons."""
    return f"Looking for canons: {round(100 * share)} % looked at."


def present_chart(
    canons: Canons,
    motion: Motion,
    stretch: Fraction,
    *,
    is_fine: bool = False,
    opened: tuple[int, Fraction] | None = None,
) -> dict[str, Any]:
    """Give the chart of intervals against distances for one motion and stretch.

    A figure is the number of bars that hold, with a sign where no fault comes at
    all; columns are beats of distance, or every eighth where ``is_fine``.
    The ``opened`` canon stands there however poor it is.
    """
    grid, theme = canons.grid, canons.theme
    plane = (MOTIONS.index(motion), STRETCHES.index(stretch))
    meter = theme.meters.changes[0][1]
    beat, bar = meter.beats_quarters[0], meter.bar_quarters
    columns = [
        i
        for i, delay in enumerate(grid.delays)
        if (is_fine or delay % beat == 0) and delay < grid.delays[-1]
    ]
    score, holds = grid.score[plane], grid.holds_quarters[plane]
    faults = grid.fault_count[plane]
    worth = np.where((holds >= float(bar)) | (score >= SHOWN_FROM), score, 0.0)
    ordered = np.sort(worth[:, columns], axis=None)[::-1]
    least = min(SHOWN_FROM, max(float(ordered[:SHOWN_AT_LEAST][-1]), np.finfo(float).tiny))
    rows = []
    for step in reversed(range(len(STEPS))):
        cells = []
        for column in columns:
            is_opened = opened == (STEPS[step], grid.delays[column])
            if worth[step, column] < least and not is_opened:
                cells.append(["", ""])
                continue
            bars = int(holds[step, column] / float(bar))
            clean = not faults[step, column]
            text = f"{bars or '<1'}{'✓' if clean else ''}"
            cells.append([text, _speak_cell(STEPS[step], grid.delays[column] / beat, bars, clean)])
        rows.append({"name": interval_words(STEPS[step]), "steps": STEPS[step], "cells": cells})
    heads = [_head(grid.delays[column], bar) for column in columns]
    offered = worth[:, columns] if worth[:, columns].any() else score[:, columns]
    best = np.unravel_index(int(offered.argmax()), (len(STEPS), len(columns)))
    return {
        "heads": heads,
        "delays": [str(grid.delays[column]) for column in columns],
        "rows": rows,
        "best": (STEPS[int(best[0])], grid.delays[columns[int(best[1])]]),
    }


def _head(delay: Fraction, bar: Fraction) -> str:
    """Write a distance: bars at whole bars, a dot at the beats between."""
    if delay == 0:
        return "0"
    return str(delay // bar) if delay % bar == 0 else "·"


def _speak_cell(steps: int, beats: Fraction, bars: int, clean: bool) -> str:  # noqa: FBT001
    held = f"{bars} bars" if bars != 1 else "1 bar"
    wrong = "no fault" if clean else f"holds for {held if bars else 'less than a bar'}"
    return f"{interval_words(steps)}, {beats} {'beat' if beats == 1 else 'beats'} later: {wrong}"
