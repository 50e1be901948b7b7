"""Two themes at once: where one fits against the other, and whether they invert."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from harmony.chords import Progression
from harmony.errors import HarmonyError
from harmony.pitch import Line, Theme
from harmony.themes.counterpoint import Judge, judge_answers
from harmony.themes.degrees import frame_key
from harmony.themes.faults import Fault, find_faults_between
from harmony.themes.follower import STEPS, AnswerCodes, Cell, follower_line, usual_answer
from harmony.themes.meetings import lay_meetings
from harmony.themes.survey import check_theme, score_answers, weigh_delays
from harmony.themes.tracks import Track, common_tick, line_times, line_to_track, tick_weights
from harmony.themes.under import Under

#: steps by which the upper voice goes down, or the lower up, when voices change places
INVERSIONS = {"octave": 7, "tenth": 9, "twelfth": 11}
_OCTAVE = 7
_FARTHEST = 11 + 2 * _OCTAVE


@dataclass(frozen=True, slots=True)
class Combination:
    """A second theme against a first: moved by ``steps`` in its key, entering at ``delay``.

    ``delay`` is the time in quarters at which the second begins. ``inverts_at``
    names the intervals of invertible counterpoint at which the two may change places
    with no more faults than they have as they stand.
    """

    first: Theme
    second: Theme
    judge: Judge
    steps: int
    delay: Fraction
    score: float
    inverts_at: tuple[str, ...]

    @property
    def second_line(self) -> Line:
        """The second theme as it sounds against the first."""
        return _moved_line(self.second, self.steps, self.delay)

    @property
    def shared(self) -> Fraction:
        """How long, in quarters, the two sound together: up to the end of either."""
        return min(self.first.line.end, self.second_line.end) - self.delay

    def faults(self) -> tuple[Fault, ...]:
        """Give everything the judge objects to, in order of time."""
        return find_faults_between(self.first.meters, self.first.line, self.second_line, self.judge)


def _moved_line(second: Theme, steps: int, delay: Fraction) -> Line:
    line = follower_line(second, Cell("direct", steps, Fraction(0), answer=usual_answer(second)))
    return line.moved(delay - line.start)


def combine(
    first: Theme, second: Theme, judge: Judge = "tonal", *, count: int = 12
) -> tuple[Combination, ...]:
    """Give the best ways to sound two themes together, best first.

    The second is tried on every step two octaves either way, entering on every
    beat of the first; it keeps its own key's notes.
    """
    check_theme(first)
    check_theme(second)
    start = first.line.sounding[0].onset
    end = first.line.sounding[-1].end
    beat = first.meters.changes[0][1].beats_quarters[0]
    delays = tuple(index * beat for index in range(int((end - start) / beat)))
    tick = common_tick([*line_times(first.line), *line_times(second.line), start, beat])
    leader = line_to_track(first.line, tick)
    follower = line_to_track(second.line, tick).moved_from_zero()
    ticks = int(leader.end[-1])
    meetings = lay_meetings(
        leader,
        follower,
        np.array([int((start + delay) / tick) for delay in delays], np.intp),
        tick_weights(first.meters, tick, ticks),
        is_strict=judge == "strict",
    )
    own = int((follower.end - follower.start).sum())
    share = meetings.overlap / max(min(ticks, own), 1)
    usual = weigh_delays(first.meters, delays)
    answers = AnswerCodes.direct(second, frame_key(second))
    # past the two octaves offered, as far as voices are moved in inverting
    reach = range(STEPS[0] - _FARTHEST, STEPS[-1] + _FARTHEST + 1)
    judged = judge_answers(
        leader.code, answers.at_steps(np.array(reach), usual_answer(second)), meetings, judge
    )
    scores = score_answers(judged, meetings, share) * usual

    apart = _mean_step(follower) - _mean_step(leader)
    found: list[Combination] = []
    for steps in STEPS:
        row = reach.index(steps)
        score = scores[row]
        for place in (int(place) for place in np.argsort(-score)[:count] if score[place] > 0):
            inverts = tuple(
                name
                for name, size in INVERSIONS.items()
                if judged.count[row + _move_past(apart + steps, size), place]
                <= judged.count[row, place]
            )
            entry = start + delays[place]
            found.append(
                Combination(first, second, judge, steps, entry, float(score[place]), inverts)
            )
    found.sort(key=lambda c: (-c.score, abs(c.steps), c.delay))
    return tuple(found[:count])


def _mean_step(track: Track) -> float:
    return float(np.average(track.step, weights=track.end - track.start))


def _move_past(apart: float, size: int) -> int:
    """Give the steps that take a voice ``apart`` steps away to the other side, by an
    interval of ``size`` steps and whole octaves."""
    past = size
    while past < abs(apart) and past + _OCTAVE <= _FARTHEST:
        past += _OCTAVE
    return -past if apart > 0 else past


@dataclass(frozen=True, slots=True)
class Fit:
    """A theme over given chords: moved by ``steps``, and the share of its time on chord notes.

    ``stressed_share`` counts only notes that begin on a beat.
    """

    theme: Theme
    steps: int
    share: float
    stressed_share: float


def fit_over(theme: Theme, progression: Progression) -> tuple[Fit, ...]:
    """Say how well a theme, on each step of an octave either way, goes over given chords.

    The chords come round as often as the theme needs. Best first, by the share of
    stressed time on notes of the chords, then of all.
    """
    if not theme.line.sounding:
        raise HarmonyError("A theme needs notes to be set over chords.")
    period = Under(chords=progression).period(theme.meters)
    turns = range(max(int(-(-theme.line.end // period)), 1))
    chords = [
        (slot.onset + turn * period, slot.onset + slot.duration + turn * period,
         slot.chord.pitch_classes)
        for turn in turns for slot in progression if slot.chord is not None
    ]  # fmt: skip
    fits = []
    for steps in range(-7, 8):
        line = _moved_line(theme, steps, theme.line.sounding[0].onset)
        inside = total = stressed_inside = stressed = Fraction(0)
        for note in line.sounding:
            assert note.pitch is not None
            for start, end, classes in chords:
                both = min(note.end, end) - max(note.onset, start)
                if both <= 0:
                    continue
                belongs = note.pitch.pitch_class in classes
                total += both
                inside += both * belongs
                if theme.meters.weight(note.onset) >= 2:
                    stressed += both
                    stressed_inside += both * belongs
        if total:
            strong = float(stressed_inside / stressed) if stressed else 0.0
            fits.append(Fit(theme, steps, float(inside / total), strong))
    return tuple(sorted(fits, key=lambda fit: (-fit.stressed_share, -fit.share, abs(fit.steps))))
