"""Canons of a theme: found, ranked, explained, and written out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError
from harmony.pitch import Interval, Key, Line, Pitch, Theme
from harmony.showing import Shown
from harmony.themes.counterpoint import JUDGES, Judge
from harmony.themes.degrees import frame_key
from harmony.themes.faults import Fault, Pair, explain_pair
from harmony.themes.follower import MOTIONS, AnswerCodes, Cell, Motion, follower_line
from harmony.themes.survey import EIGHTH, Survey, shape_track, survey
from harmony.themes.tracks import Track, common_tick, line_times, line_to_track, pitch_to_code
from harmony.units import quarters_to_json

LISTED_PER_MOTION = 12
_ONE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Canon:
    """One canon in two voices: what answers what, how well, and what is wrong.

    ``holds_for`` is the time in quarters from the follower's entry to the first
    fault. ``rank`` counts all canons of the theme, ``rank_in_motion`` those of
    the same motion; octave transpositions of one canon do not push each other down.
    """

    theme: Theme
    cell: Cell
    judge: Judge
    score: float
    holds_for: Fraction
    rank: int
    rank_in_motion: int

    @property
    def follower(self) -> Line:
        """The answering voice as it sounds."""
        return follower_line(self.theme, self.cell)

    @property
    def interval(self) -> Interval:
        """From the leader's first note to the follower's."""
        leader, follower = self.theme.line.sounding[0].pitch, self.follower.sounding[0].pitch
        assert leader is not None
        assert follower is not None
        return Interval.between(leader, follower)

    @property
    def direction(self) -> str:
        """``above``, ``below`` or ``unison``."""
        interval = self.interval
        if interval.steps == 0 and interval.semitones == 0:
            return "unison"
        return "below" if interval.name.startswith("-") else "above"

    @property
    def answer(self) -> str:
        """``real``, ``diatonic`` or ``tonal``."""
        return "diatonic" if self.cell.answer == "plain" else self.cell.answer

    @property
    def shift(self) -> str:
        """In words, what the distance does to the meter; empty for whole bars."""
        meter = self.theme.meters.changes[0][1]
        beats = self.cell.delay / meter.beats_quarters[0]
        if self.cell.delay % meter.bar_quarters == 0:
            return ""
        if beats.denominator == 1:
            return "the answer's downbeats fall on other beats of the bar"
        return "the answer falls between the beats"

    def faults(self) -> tuple[Fault, ...]:
        """Give everything the judge objects to, in order of time."""
        return find_faults(self.theme, self.cell, self.judge)

    def to_json(self) -> dict[str, Any]:
        """Give the canon as the command prints it."""
        return {
            "rank": self.rank,
            "rank_in_motion": self.rank_in_motion,
            "interval": self.interval.name.lstrip("-"),
            "direction": self.direction,
            "steps": self.cell.steps,
            "delay": quarters_to_json(self.cell.delay),
            "motion": self.cell.motion,
            "answer": self.answer,
            "stretch": quarters_to_json(self.cell.stretch),
            "holds_for": quarters_to_json(self.holds_for),
            "score": round(self.score, 4),
            "faults": [fault.to_json() for fault in self.faults()],
        }


@dataclass(frozen=True, slots=True)
class Canons(Shown):
    """The canons of a theme that are worth a look, best first, and the grid they came from."""

    theme: Theme
    judge: Judge
    canons: tuple[Canon, ...]
    grid: Survey

    def open_cell(self, motion: Motion, stretch: Fraction, steps: int, delay: Fraction) -> Canon:
        """Give the canon at one place of the grid, ranked or not."""
        place = self.grid.place(motion, stretch, steps, delay)
        listed = self.grid.cell(*place)
        for canon in self.canons:
            if canon.cell == listed:
                return canon
        held = _exact(float(self.grid.holds_quarters[place]))
        score = float(self.grid.score[place])
        below = len(self.canons) + 1
        return Canon(self.theme, listed, self.judge, score, held, below, below)

    def to_json(self) -> dict[str, Any]:
        """Give what ``harmony canon --json`` prints."""
        return {"canons": [canon.to_json() for canon in self.canons]}

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:  # noqa: ARG002
        """Give one row a canon."""
        return [{k: v for k, v in c.to_json().items() if k != "faults"} for c in self.canons]


def _exact(quarters: float) -> Fraction:
    return Fraction(quarters).limit_denominator(960)


def find_canons(
    theme: Theme,
    judge: Judge = "tonal",
    *,
    spacing: Fraction = EIGHTH,
    report: Callable[[float], object] | None = None,
    is_cancelled: Callable[[], bool] | None = None,
) -> Canons:
    """Look at every two-voice canon of the grid and give the best, ranked.

    Of each motion the best twelve are listed (an interval and its octaves at one
    distance count once, and all that share a place are listed).
    """
    if judge not in JUDGES:
        raise HarmonyError(f"{judge!r} is not a way of judging; it is strict, tonal or free.")
    grid = survey(theme, judge, spacing=spacing, report=report, is_cancelled=is_cancelled)
    in_motion = np.stack([_family_ranks(grid.score[m]) for m in range(len(MOTIONS))])
    overall = _family_ranks(grid.score)
    listed = [
        Canon(
            theme,
            grid.cell(*place),
            judge,
            float(grid.score[place]),
            _exact(float(grid.holds_quarters[place])),
            int(overall[place]),
            int(in_motion[place]),
        )
        for place in zip(
            *np.nonzero((in_motion <= LISTED_PER_MOTION) & (grid.score > 0)), strict=True
        )
    ]
    listed.sort(key=lambda canon: (-canon.score, abs(canon.cell.steps), canon.cell.delay))
    return Canons(theme, judge, tuple(listed), grid)


def _family_ranks(score: NDArray[np.float64]) -> NDArray[np.int64]:
    """Rank cells (..., 29 steps, D): 1 + how many other families have a better member.

    A family is an interval with its octave transpositions, at one distance.
    """
    steps, delays = score.shape[-2:]
    flat = score.reshape(-1, steps, delays)
    best = np.stack([flat[:, place::7].max(axis=1) for place in range(7)], axis=1)
    ordered = np.sort(best.ravel())
    above = ordered.size - np.searchsorted(ordered, flat, side="right")
    own = best[:, np.arange(steps) % 7] > flat
    return (1 + above - own).reshape(score.shape)


@lru_cache(maxsize=64)
def find_faults(theme: Theme, cell: Cell, judge: Judge) -> tuple[Fault, ...]:
    """Give what a judge objects to in one canon, each explained in words."""
    pair = lay_canon(theme, cell, canon_tick(theme, cell))
    return explain_pair(theme.meters, theme.line, follower_line(theme, cell), pair, judge)


def canon_tick(theme: Theme, cell: Cell) -> Fraction:
    """Give a tick on which both voices of a canon lie."""
    return common_tick([*line_times(theme.line), cell.delay], (cell.stretch, _ONE))


def lay_canon(theme: Theme, cell: Cell, tick: Fraction) -> Pair:
    """Lay leader and follower of a canon on one grid of ticks."""
    notes = [note for note in theme.line.sounding if note.duration]
    pitches = tuple(note.pitch for note in notes if note.pitch is not None)
    return lay_pitches(pitches, line_to_track(theme.line, tick), cell, frame_key(theme), tick)


def lay_pitches(
    pitches: tuple[Pitch, ...], times: Track, cell: Cell, key: Key, tick: Fraction
) -> Pair:
    """Lay a leader of these pitches, at the times of a track, and its follower."""
    leader = Track.of(
        times.start,
        times.end,
        np.array([pitch_to_code(pitch) for pitch in pitches], np.int16),
        np.array([pitch.staff_step for pitch in pitches], np.intp),
    )
    ordered = pitches[::-1] if cell.motion.startswith("retrograde") else pitches
    answers = AnswerCodes.of(ordered, pitches[0], cell.motion, key)
    return Pair(
        leader,
        shape_track(leader, cell.motion, cell.stretch),
        answers.codes(cell.steps, cell.answer),
        int(leader.start[0]) + int(cell.delay / tick),
        tick,
    )
