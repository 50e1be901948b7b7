"""Every two-voice canon of a theme, judged and scored in one sweep.

The grid is 29 intervals (two octaves each way) by four motions by three stretches
by every eighth of distance from 0 to the theme's length.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError
from harmony.pitch import MeterMap, Theme
from harmony.themes.counterpoint import Judge, Judged, judge_answers
from harmony.themes.degrees import frame_key, key_or_none
from harmony.themes.follower import (
    MOTIONS,
    STEPS,
    STRETCHES,
    AnswerCodes,
    AnswerKind,
    Cell,
    Motion,
    answer_kinds,
)
from harmony.themes.meetings import Meetings, lay_meetings
from harmony.themes.tracks import (
    Ints,
    Places,
    Track,
    common_tick,
    line_times,
    line_to_track,
    tick_weights,
)

EIGHTH = Fraction(1, 2)
MOST_BARS = 100
ANSWERS: tuple[AnswerKind, ...] = ("real", "diatonic", "plain", "tonal")


_MOST_ALTERED = 0.25  # a theme with more accidentals is not one whose singer adds a few


class StoppedError(HarmonyError):
    """A search was stopped before it had anything to give."""


@dataclass(frozen=True, slots=True)
class Survey:
    """The judged grid: arrays of shape (motions, stretches, steps, delays).

    ``score`` is 0 (nothing sounds together) to about 1; ``holds_quarters`` how
    long it goes without a fault; ``fault_count`` and ``fault_weight`` how much
    is wrong in all; ``answer`` indexes ANSWERS, the best kind in that cell.
    """

    theme: Theme
    judge: Judge
    delays: tuple[Fraction, ...]
    score: NDArray[np.float64]
    holds_quarters: NDArray[np.float64]
    fault_count: NDArray[np.int64]
    fault_weight: NDArray[np.float64]
    answer: NDArray[np.int8]

    @property
    def count(self) -> int:
        """How many cells were judged."""
        return self.score.size

    def place(
        self, motion: Motion, stretch: Fraction, steps: int, delay: Fraction
    ) -> tuple[int, int, int, int]:
        """Give the four indices of a cell.

        Raises
        ------
        HarmonyError
            If the grid has no such cell.
        """
        try:
            return (
                MOTIONS.index(motion),
                STRETCHES.index(stretch),
                STEPS.index(steps),
                self.delays.index(delay),
            )
        except ValueError as fault:
            raise HarmonyError(
                f"The chart has no canon {steps} steps away after {float(delay):g} quarters."
            ) from fault

    def cell(self, motion: int, stretch: int, step: int, delay: int) -> Cell:
        """Give the cell at four indices, with its best kind of answer."""
        kind = ANSWERS[int(self.answer[motion, stretch, step, delay])]
        return Cell(MOTIONS[motion], STEPS[step], self.delays[delay], STRETCHES[stretch], kind)


def check_theme(theme: Theme) -> None:
    """Refuse what no canon can be made of, in one sentence."""
    if len(theme.line.sounding) < 2:
        raise HarmonyError("A canon needs a theme of at least two notes; this one has one.")
    bars = theme.meters.bars_through(theme.line.end)
    if len(bars) > MOST_BARS:
        raise HarmonyError(
            f"The theme has {len(bars)} bars; a canon is looked for in at most {MOST_BARS}: "
            "take a part of it with bars A-B."
        )


def survey(
    theme: Theme,
    judge: Judge = "tonal",
    *,
    spacing: Fraction = EIGHTH,
    report: Callable[[float], object] | None = None,
    is_cancelled: Callable[[], bool] | None = None,
) -> Survey:
    """Judge the whole grid, at every ``spacing`` quarters of distance.

    ``report`` is told the share done, 0 to 1.

    Raises
    ------
    StoppedError
        As soon as ``is_cancelled`` says so.
    """
    check_theme(theme)
    leader_notes = theme.line.sounding
    start, length = leader_notes[0].onset, leader_notes[-1].end - leader_notes[0].onset
    delays = tuple(index * spacing for index in range(int(length / spacing) + 1))
    tick = common_tick([*line_times(theme.line), start, spacing], STRETCHES)
    ticks = int(leader_notes[-1].end / tick)
    weights = tick_weights(theme.meters, tick, ticks)
    leader = line_to_track(theme.line, tick)
    delay_ticks = np.array([int((start + delay) / tick) for delay in delays], np.intp)
    shape = (len(MOTIONS), len(STRETCHES), len(STEPS), len(delays))
    found = Survey(
        theme,
        judge,
        delays,
        np.zeros(shape),
        np.zeros(shape),
        np.zeros(shape, np.int64),
        np.zeros(shape),
        np.zeros(shape, np.int8),
    )
    usual = weigh_delays(theme.meters, delays)
    for m, motion in enumerate(MOTIONS):
        answers = _answers(theme, motion)
        for s, stretch in enumerate(STRETCHES):
            if report:
                report((m * len(STRETCHES) + s) / (len(MOTIONS) * len(STRETCHES)))
            if is_cancelled and is_cancelled():
                raise StoppedError("The search for canons was stopped.")
            follower = shape_track(leader, motion, stretch)
            meetings = lay_meetings(
                leader, follower, delay_ticks, weights, is_strict=judge == "strict"
            )
            _survey_shape(found, (m, s), leader, answers, meetings, usual, tick)
    return found


@dataclass(frozen=True, slots=True)
class _Answers:
    """All different answers of one motion: codes (A, notes), and of which kind and interval."""

    codes: Ints
    kind: Places
    step: Places


def _answers(theme: Theme, motion: Motion) -> _Answers:
    pitches = [note.pitch for note in theme.line.sounding if note.duration and note.pitch]
    first = pitches[0]
    if motion.startswith("retrograde"):
        pitches.reverse()
    every = AnswerCodes.of(tuple(pitches), first, motion, frame_key(theme))
    altered = np.count_nonzero(every.alter) / len(pitches)
    taken: list[list[bytes]] = [[] for _ in STEPS]
    codes, kinds, steps = [], [], []
    for number, kind in enumerate(ANSWERS):
        if kind != "real" and key_or_none(theme) is None:
            continue  # degrees mean nothing here
        if kind == "plain" and altered > _MOST_ALTERED:
            continue
        places = [place for place, at in enumerate(STEPS) if kind in answer_kinds(motion, at)]
        rows = every.at_steps(np.array([STEPS[place] for place in places]), kind)
        for place, row in zip(places, rows, strict=True):
            if (said := row.tobytes()) not in taken[place]:
                taken[place].append(said)
                codes.append(row)
                kinds.append(number)
                steps.append(place)
    return _Answers(np.stack(codes), np.array(kinds), np.array(steps))


def _survey_shape(
    found: Survey,
    place: tuple[int, int],
    leader: Track,
    answers: _Answers,
    meetings: Meetings,
    usual: NDArray[np.float64],
    tick: Fraction,
) -> None:
    """Judge one motion and stretch at every interval and distance; the best kind stays."""
    stretch = STRETCHES[place[1]]
    judged = judge_answers(leader.code, answers.codes, meetings, found.judge)
    share = meetings.overlap / int(leader.end[-1])
    score = score_answers(judged, meetings, share)
    score *= usual * (1.0 if stretch == 1 else _OTHER_STRETCH)
    score *= np.array([weigh_interval(steps) for steps in STEPS])[answers.step][:, None]
    if place[0] == MOTIONS.index("direct") and stretch == 1:
        score *= weigh_repeats(leader, meetings)
        score[:, 0] = 0.0  # at no distance it only doubles

    by_kind = np.full((len(ANSWERS), len(STEPS), len(found.delays)), -1.0)
    by_kind[answers.kind, answers.step] = score
    best = by_kind.argmax(axis=0)
    row = np.zeros(by_kind.shape[:2], np.intp)
    row[answers.kind, answers.step] = np.arange(len(answers.kind))
    row = row[best, np.arange(len(STEPS))[:, None]]
    column = np.arange(len(found.delays))
    found.answer[place] = best
    found.score[place] = score[row, column]
    found.holds_quarters[place] = judged.holds[row, column] * float(tick)
    found.fault_count[place] = judged.count[row, column]
    found.fault_weight[place] = judged.weight[row, column]


#: What the score makes of a canon. The weights were set so that the canons of
#: Palestrina's masses (music21 corpus) come first among all canons of their
#: leading voices; see DEVELOPERS.md for how often they do.
_ALONE, _FAULT, _FAULT_POWER, _HELD, SHARE_POWER = 0.08, 0.2, 1.2, 0.17, 0.35
_EVENTS_PER_FAULT = 16  # one weighted fault in so many notes costs _FAULT
#: what the trade usually keeps: whole bars of distance, equal durations, the
#: perfect intervals, near before far
_WHOLE_BAR, _STRONG_BEAT, _BEAT, _OFF_BEAT = 1.0, 0.925, 0.85, 0.58
_OTHER_STRETCH = 0.85
_REPEAT = 0.5  # what shadowing the tune's own repeat all the time takes away
_REPEATED_NOTES = 4  # in a row: fewer come again by chance
_IMPERFECT_INTERVAL, _PER_STEP, _PAST_NINTH = 0.98, 0.006, 0.026


def weigh_delays(meters: MeterMap, delays: tuple[Fraction, ...]) -> NDArray[np.float64]:
    """Weigh distances by where they put the follower's beats against the leader's."""
    return np.array([_usual_delay(meters, delay) for delay in delays])


def _usual_delay(meters: MeterMap, delay: Fraction) -> float:
    """Weigh a distance by where it puts the follower's beats against the leader's."""
    meter = meters.changes[0][1]
    bar, beat = meter.bar_quarters, meter.beats_quarters[0]
    if delay % bar == 0:
        return _WHOLE_BAR
    if delay % beat:
        return _OFF_BEAT
    return _STRONG_BEAT if len(meter.beats_quarters) % 2 == 0 and delay % (bar / 2) == 0 else _BEAT


def weigh_interval(steps: int) -> float:
    """Weigh an interval: perfect before imperfect, near before far."""
    plain = 1.0 if abs(steps) % 7 in (0, 3, 4) else _IMPERFECT_INTERVAL
    return plain - _PER_STEP * abs(steps) - (_PAST_NINTH if abs(steps) > 8 else 0.0)


def weigh_repeats(leader: Track, meetings: Meetings) -> NDArray[np.float64]:
    """Weigh distances at which a theme meets its own literal repeat, shape (D,).

    There a direct answer at whatever interval only shadows the leader. A few bars that
    come again take little away, as the lines of a round may share some.
    """
    same = meetings.together & (leader.code[meetings.leader] == leader.code[meetings.follower])
    goes_on = same[1:] & same[:-1] & (meetings.joined[1:] != 0)
    run = np.concatenate([[0], np.cumsum(~goes_on)])
    repeats = same & (np.bincount(run)[run] >= _REPEATED_NOTES)
    shadowed = np.bincount(meetings.row, meetings.length * repeats, minlength=meetings.delays)
    return np.asarray(1.0 - _REPEAT * (shadowed / np.maximum(meetings.overlap, 1)) ** 2)


def shape_track(leader: Track, motion: Motion, stretch: Fraction) -> Track:
    """Give the follower's notes from tick 0, as they move before any pitch is chosen."""
    return leader.reshaped(
        stretch,
        backward=motion.startswith("retrograde"),
        turned=motion.endswith("contrary"),
    )


def score_answers(
    judged: Judged, meetings: Meetings, share: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Turn what was judged into one figure an answer and delay, better upward, 0 to 1.

    Sound and independence of rhythm, less the faults in proportion to the notes
    struck, raised by how much holds without a fault and scaled by how much of
    the theme is heard in canon. Echoes of the tune's own repeats gain nothing.
    """
    rate = judged.weight * _EVENTS_PER_FAULT / np.maximum(meetings.struck, _EVENTS_PER_FAULT)
    sound = (1 - _ALONE) * judged.goodness + _ALONE * meetings.alone * (1 - judged.echoes)
    whole = np.maximum(sound - _FAULT * rate**_FAULT_POWER, 0.0)
    held = np.minimum(judged.holds / np.maximum(meetings.overlap, 1), 1.0)
    score = ((1 - _HELD) * whole + _HELD * sound * held) * share**SHARE_POWER
    return np.where(share > 0, score, 0.0)
