"""Two themes at once: where one fits against the other, and whether they invert."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from harmony.chords import Progression
from harmony.errors import HarmonyError
from harmony.pitch import Line, Theme
from harmony.themes.counterpoint import Judge, Judged, judge_rows, lay_motions
from harmony.themes.degrees import key_of
from harmony.themes.follower import STEPS, AnswerCodes, Cell, follower_line
from harmony.themes.survey import (
    check_theme,
    lay_follower,
    leader_codes,
    score_rows,
    sound_codes,
    weigh_delays,
)
from harmony.themes.tracks import common_tick, line_times, line_to_track, tick_weights

#: steps by which the upper voice goes down, or the lower up, when voices change places
INVERSIONS = {"octave": 7, "tenth": 9, "twelfth": 11}
_STILL_GOOD = 1.0  # weighted faults an inversion may add and still be offered


@dataclass(frozen=True, slots=True)
class Combination:
    """A second theme against a first: moved by ``steps`` in its key, entering at ``delay``.

    ``inverts_at`` names the intervals of invertible counterpoint at which the two
    may change places; ``fault_weight`` is what the judge finds in all.
    """

    first: Theme
    second: Theme
    steps: int
    delay: Fraction
    score: float
    fault_weight: float
    inverts_at: tuple[str, ...]

    @property
    def second_line(self) -> Line:
        """The second theme as it sounds against the first."""
        return _moved_line(self.second, self.steps, self.delay)


def _moved_line(second: Theme, steps: int, delay: Fraction) -> Line:
    line = follower_line(second, Cell("direct", steps, Fraction(0)))
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
    ticks = int(end / tick)
    weights = tick_weights(first.meters, tick, ticks)
    leader = line_to_track(first.line, tick, ticks)
    shaped, track, note_of_tick = lay_follower(second, "direct", Fraction(1), tick)
    delay_ticks = np.array([int((start + delay) / tick) for delay in delays], np.intp)
    motions = lay_motions(leader, track, delay_ticks, weights, judge)
    own = int(sum((n.duration for n in second.line.sounding), Fraction(0)) / tick)
    share = motions.overlap / max(min(ticks, own), 1)
    usual = weigh_delays(first.meters, delays)
    answers = AnswerCodes.of(shaped, shaped[0], "direct", key_of(second))
    own_codes = leader_codes(leader)

    def judged_at(steps: int) -> Judged:
        codes = sound_codes(answers.codes(steps, "diatonic"), track, note_of_tick)
        return judge_rows(own_codes, codes, motions, weights, judge)

    found: list[Combination] = []
    for steps in STEPS:
        judged = judged_at(steps)
        score = score_rows(judged, motions, share) * usual
        places = [int(place) for place in np.argsort(-score)[:count] if score[place] > 0]
        found += [
            Combination(
                first,
                second,
                steps,
                start + delays[place],
                float(score[place]),
                float(judged.weight[place]),
                (),
            )
            for place in places
        ]
    found.sort(key=lambda c: (-c.score, abs(c.steps), c.delay))
    best = found[:count]
    entries = [delays.index(c.delay - start) for c in best]
    return tuple(
        _with_inversions(c, place, judged_at) for c, place in zip(best, entries, strict=True)
    )


def _with_inversions(
    combination: Combination, place: int, judged_at: Callable[[int], Judged]
) -> Combination:
    """Try the second theme on the other side of the first at each usual interval."""
    works = []
    for name, steps in INVERSIONS.items():
        for sign in (1, -1):
            weight = float(judged_at(combination.steps + sign * steps).weight[place])
            if weight <= combination.fault_weight + _STILL_GOOD:
                works.append(name)
                break
    return Combination(
        combination.first,
        combination.second,
        combination.steps,
        combination.delay,
        combination.score,
        combination.fault_weight,
        tuple(works),
    )


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

    Best first, by the share of stressed time on notes of the chords, then of all.
    """
    if not theme.line.sounding:
        raise HarmonyError("A theme needs notes to be set over chords.")
    fits = []
    for steps in range(-7, 8):
        line = _moved_line(theme, steps, theme.line.sounding[0].onset)
        inside = total = stressed_inside = stressed = Fraction(0)
        for note in line.sounding:
            assert note.pitch is not None
            for slot in progression:
                both = min(note.end, slot.onset + slot.duration) - max(note.onset, slot.onset)
                if both <= 0 or slot.chord is None:
                    continue
                belongs = note.pitch.pitch_class in slot.chord.pitch_classes
                total += both
                inside += both * belongs
                if theme.meters.weight(note.onset) >= 2:
                    stressed += both
                    stressed_inside += both * belongs
        if total:
            strong = float(stressed_inside / stressed) if stressed else 0.0
            fits.append(Fit(theme, steps, float(inside / total), strong))
    return tuple(sorted(fits, key=lambda fit: (-fit.stressed_share, -fit.share, abs(fit.steps))))
