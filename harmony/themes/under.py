"""What may stand under a canon: a ground that comes round, or given chords that do."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.chords import Progression
from harmony.errors import HarmonyError
from harmony.pitch import Line, MeterMap, Theme
from harmony.themes.counterpoint import Judge, judge_answers
from harmony.themes.degrees import frame_key
from harmony.themes.follower import STEPS, AnswerCodes, usual_answer
from harmony.themes.meetings import lay_meetings
from harmony.themes.survey import score_answers
from harmony.themes.tracks import (
    MIDI_PLACE,
    Places,
    common_tick,
    line_times,
    line_to_track,
    tick_weights,
)

Floats = NDArray[np.float64]
_UNSTRESSED = 0.3  # what a note off the beats counts beside one on a beat


@dataclass(frozen=True, slots=True)
class Under:
    """A ground (a line) or a progression under a theme, repeated as long as it is needed."""

    ground: Line | None = None
    chords: Progression | None = None

    def __post_init__(self) -> None:
        if (self.ground is None) == (self.chords is None):
            raise HarmonyError("Under a canon stands either a ground or a progression, not both.")
        if self.ground is not None and not self.ground.sounding:
            raise HarmonyError("The ground has no note; give a line with at least one.")
        if self.chords is not None and not any(slot.chord for slot in self.chords):
            raise HarmonyError("The progression under the canon has no chord; give at least one.")

    def period(self, meters: MeterMap) -> Fraction:
        """Give the time after which it begins again: its length in whole bars."""
        end = self.ground.end if self.ground is not None else self._progression.end
        bar = meters.changes[0][1].bar_quarters
        return -(-end // bar) * bar

    @property
    def _progression(self) -> Progression:
        assert self.chords is not None
        return self.chords

    def ground_until(self, meters: MeterMap, end: Fraction) -> Line:
        """Give the ground, repeated through time ``end``."""
        assert self.ground is not None
        period = self.period(meters)
        times = max(int(-(-end // period)), 1)
        return Line(
            tuple(n for turn in range(times) for n in self.ground.moved(turn * period).sounding)
        )

    def score_entries(self, theme: Theme, delays: tuple[Fraction, ...], judge: Judge) -> Floats:
        """Say how well each entry of a theme goes over it, 0 to 1, shape (STEPS, delays)."""
        start = theme.line.sounding[0].onset
        end = theme.line.end + delays[-1]
        if self.ground is not None:
            return self._over_ground(theme, [start + delay for delay in delays], end, judge)
        return self._over_chords(theme, [start + delay for delay in delays], end)

    def _over_ground(
        self, theme: Theme, entries: list[Fraction], end: Fraction, judge: Judge
    ) -> Floats:
        ground = self.ground_until(theme.meters, end)
        tick = common_tick([*line_times(theme.line), *line_times(ground), *entries])
        leader = line_to_track(ground, tick)
        over = judge_over_ground(judge)
        meetings = lay_meetings(
            leader,
            line_to_track(theme.line, tick).moved_from_zero(),
            np.array([int(entry / tick) for entry in entries], np.intp),
            tick_weights(theme.meters, tick, int(leader.end[-1])),
            is_strict=over == "strict",
        )
        judged = judge_answers(leader.code, _every_answer(theme), meetings, over)
        return score_answers(judged, meetings, np.ones(len(entries)))

    def _over_chords(self, theme: Theme, entries: list[Fraction], end: Fraction) -> Floats:
        """Weigh the time spent on notes of the chords, notes on beats first."""
        chords, meters = self._progression, theme.meters
        period = self.period(meters)
        slots = [slot for slot in chords if slot.chord is not None]
        times = [time for slot in slots for time in (slot.onset, slot.duration)]
        tick = common_tick([*line_times(theme.line), *entries, *times, period])
        length = int(period / tick)
        holds = np.zeros((12, length))
        for slot in slots:
            assert slot.chord is not None
            span = slice(int(slot.onset / tick), int((slot.onset + slot.duration) / tick))
            holds[sorted(slot.chord.pitch_classes), span] = 1.0
        turns = -(-int(end / tick) // length) + 1
        running = np.concatenate([np.zeros((12, 1)), np.tile(holds, turns).cumsum(axis=1)], axis=1)

        track = line_to_track(theme.line, tick).moved_from_zero()
        moment = np.array([int(entry / tick) for entry in entries])[:, None]
        begins, ends = track.start + moment, track.end + moment  # (D, notes)
        weights = tick_weights(meters, tick, int(ends.max()) + 1)
        heavy = np.where(weights[begins] >= 2, 1.0, _UNSTRESSED)
        classes = (_every_answer(theme).astype(np.intp) + MIDI_PLACE // 2) // MIDI_PLACE % 12
        inside = running[classes[:, None, :], ends] - running[classes[:, None, :], begins]
        return np.asarray(
            (inside * heavy).sum(axis=-1) / ((ends - begins) * heavy).sum(axis=-1), np.float64
        )


def judge_over_ground(judge: Judge) -> Judge:
    """Give the judge of voices against a ground.

    Notes of a chord broken over a slow bass leap from dissonance to dissonance, so
    unless all is strict, dissonance is weighed there by stress and length.
    """
    return "strict" if judge == "strict" else "free"


def _every_answer(theme: Theme) -> NDArray[np.int16]:
    answers = AnswerCodes.direct(theme, frame_key(theme))
    steps: Places = np.array(STEPS)
    return answers.at_steps(steps, usual_answer(theme))
