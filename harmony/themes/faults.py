"""What is wrong between two lines, place by place and in words."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from harmony.pitch import Interval, Line, MeterMap, Pitch
from harmony.themes.counterpoint import KINDS, Judge, judge_answers
from harmony.themes.meetings import lay_meetings
from harmony.themes.tracks import (
    Ints,
    Track,
    common_tick,
    line_times,
    line_to_track,
    tick_weights,
)
from harmony.units import quarters_to_json

NUMBERS_IN_WORDS = (
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
)
_KINDS = {"P": "perfect", "M": "major", "m": "minor", "A": "augmented", "d": "diminished"}


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong between two voices, at a time in quarters, in words."""

    offset: Fraction
    kind: str
    message: str

    def to_json(self) -> dict[str, Any]:
        """Give the fault as commands print it."""
        return {
            "offset": quarters_to_json(self.offset),
            "kind": self.kind,
            "message": self.message,
        }


@dataclass(frozen=True, slots=True)
class Pair:
    """Two lines laid on one grid of ticks: the follower's notes from tick 0, and its delay.

    ``codes`` are the follower's pitches, which may be others than its track's.
    """

    leader: Track
    follower: Track
    codes: Ints
    delay: int
    tick: Fraction


def find_faults_between(
    meters: MeterMap, first: Line, second: Line, judge: Judge
) -> tuple[Fault, ...]:
    """Give what a judge objects to where two lines sound together, in order of time."""
    start = second.sounding[0].onset
    tick = common_tick([*line_times(first), *line_times(second), start])
    follower = line_to_track(second, tick)
    pair = Pair(
        line_to_track(first, tick),
        follower.moved_from_zero(),
        follower.code,
        int(follower.start[0]),
        tick,
    )
    return explain_pair(meters, first, second, pair, judge)


def explain_pair(
    meters: MeterMap, first: Line, second: Line, pair: Pair, judge: Judge
) -> tuple[Fault, ...]:
    """Judge two lines that are already laid, and say what is wrong in words."""
    found = []
    for offset, bits in clashes(meters, pair, judge):
        for index, kind in enumerate(KINDS):
            if bits >> index & 1:
                message = _explain(meters, first, second, offset, kind)
                found.append(Fault(offset, kind, message))
    return tuple(found)


def clashes(meters: MeterMap, pair: Pair, judge: Judge) -> list[tuple[Fraction, int]]:
    """Give every time at which something is wrong, and what: a bit for each of KINDS."""
    weights = tick_weights(meters, pair.tick, int(pair.leader.end[-1]))
    meetings = lay_meetings(
        pair.leader, pair.follower, np.array([pair.delay], np.intp), weights,
        is_strict=judge == "strict",
    )  # fmt: skip
    bits = judge_answers(pair.leader.code, pair.codes[None, :], meetings, judge).faults[0]
    return [
        (int(meetings.at[place]) * pair.tick, int(bits[place])) for place in np.flatnonzero(bits)
    ]


def _pitch_at(line: Line, offset: Fraction) -> Pitch | None:
    for note in line.sounding:
        if note.onset <= offset < note.end:
            return note.pitch
    return None


def _explain(meters: MeterMap, first: Line, second: Line, offset: Fraction, kind: str) -> str:
    """Say in a sentence where two voices clash and how."""
    one, two = _pitch_at(first, offset), _pitch_at(second, offset)
    assert one is not None
    assert two is not None
    low, high = (one, two) if one.midi <= two.midi else (two, one)
    between = Interval.between(low, high)
    place = meters.say_place(offset)
    if kind == "dissonance":
        return (
            f"{place}: {_words(between)} {low}-{high}, neither prepared nor passed through by step"
        )
    return f"{place}: {kind}, arriving on {low}-{high}"


def number_in_words(interval: Interval) -> str:
    """Give the number of an interval in words: ``seventh``, ``twelfth``."""
    steps = abs(interval.steps)
    return (
        NUMBERS_IN_WORDS[steps]
        if steps < len(NUMBERS_IN_WORDS)
        else NUMBERS_IN_WORDS[steps % 7 or 7]
    )


def _words(interval: Interval) -> str:
    """Give an interval in words: ``minor seventh``."""
    return f"{_KINDS[interval.name.lstrip('-')[0]]} {number_in_words(interval)}"


def say_steps(steps: int) -> str:
    """Say an interval by its steps: ``a sixth above``."""
    if steps == 0:
        return "at the unison"
    name = NUMBERS_IN_WORDS[abs(steps)] if abs(steps) < 14 else "double octave"
    article = "an" if name[0] in "aeiou" else "a"
    return f"{article} {name} {'above' if steps > 0 else 'below'}"
