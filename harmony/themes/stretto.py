"""Canons in three and four voices: entries chosen together, exactly.

Each pair of voices is a canon of its own; the entries with the best pairs in sum
are found by branch and bound, so no better set exists among the entries looked at.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError
from harmony.pitch import Line, Theme
from harmony.themes.counterpoint import Judge, judge_answers
from harmony.themes.degrees import KeylessError, frame_key, key_or_none
from harmony.themes.faults import Fault, find_faults_between
from harmony.themes.follower import STEPS, AnswerCodes, Cell, follower_line, usual_answer
from harmony.themes.followers import Followers
from harmony.themes.meetings import lay_meetings
from harmony.themes.survey import (
    SHARE_POWER,
    check_theme,
    score_answers,
    weigh_delays,
    weigh_interval,
    weigh_repeats,
)
from harmony.themes.tracks import common_tick, line_times, line_to_track, tick_weights
from harmony.themes.transform import transpose_diatonic
from harmony.themes.under import Under, judge_over_ground

Floats = NDArray[np.float64]
MOST_VOICES = 4
MOST_ENTRIES = 400
#: Below this two voices do not go together, whatever the others do: so good must be the
#: stretch in which both sound, however short it is. Over something that is given, the
#: second holds for each voice with it.
WORST_PAIR, _WORST_UNDER = 0.4, 0.3


@dataclass(frozen=True, slots=True)
class Stretto:
    """Entries of a theme against itself: (steps, delay in quarters) of each follower.

    ``under`` is the ground or the chords they go over, if any. ``score`` is the mean
    over all pairs of voices, 0 to 1, and what even entries without a fault add;
    ``pair_scores`` those of each pair, leader's first, and then of each voice, the
    leader first, with what stands under it.
    """

    theme: Theme
    judge: Judge
    entries: tuple[tuple[int, Fraction], ...]
    score: float
    pair_scores: tuple[float, ...]
    under: Under | None = None

    @property
    def voices(self) -> tuple[Line, ...]:
        """The leader and each follower as they sound."""
        kind = usual_answer(self.theme)
        cells = (Cell("direct", steps, delay, answer=kind) for steps, delay in self.entries)
        return (self.theme.line, *(follower_line(self.theme, cell) for cell in cells))

    @property
    def lines(self) -> tuple[Line, ...]:
        """The voices, and the ground as the last line where there is one."""
        voices = self.voices
        if self.under is None or self.under.ground is None:
            return voices
        end = max(line.end for line in voices)
        return (*voices, self.under.ground_until(self.theme.meters, end))

    @property
    def names(self) -> tuple[str, ...]:
        """What each line is called."""
        followers = ("Second voice", "Third voice", "Fourth voice")[: len(self.entries)]
        ground = ("Ground",) if self.under is not None and self.under.ground is not None else ()
        return ("Leader", *followers, *ground)

    def faults(self) -> tuple[Fault, ...]:
        """Give what is wrong between every two lines, in order of time."""
        found = []
        lines = list(zip(self.names, self.lines, strict=True))
        for (one, first), (two, second) in itertools.combinations(lines, 2):
            judge = judge_over_ground(self.judge) if two == "Ground" else self.judge
            for fault in find_faults_between(self.theme.meters, first, second, judge):
                said = f"{fault.message} ({one.lower()} and {two.lower()})"
                found.append(replace(fault, message=said))
        return tuple(sorted(found, key=lambda fault: fault.offset))


def find_strettos(
    theme: Theme,
    voices: int,
    judge: Judge = "tonal",
    *,
    under: Under | None = None,
    count: int = 10,
    worst: float = WORST_PAIR,
    is_cancelled: Callable[[], bool] | None = None,
    report: Callable[[float], None] | None = None,
) -> tuple[Stretto, ...]:
    """Give the best canons in ``voices`` voices (2 to 4), best first.

    No two of three or four voices sound worse together than ``worst``, 0 to 1.

    Entries are diatonic, in equal durations, at every beat. Of the entries the
    best 400 as two-voice canons (and over what stands under them) are combined;
    among them the answer is exact unless ``is_cancelled`` stopped the search, which
    then gives what it has.
    """
    if not 2 <= voices <= MOST_VOICES:
        raise HarmonyError(f"A canon here has from 2 to {MOST_VOICES} voices, not {voices}.")
    check_theme(theme)
    if voices > 2 and key_or_none(theme) is None:
        raise KeylessError(
            f"In {voices} voices the answers lie on degrees of a key, and this theme has none, as"
            " its notes lie in no scale; say a key with it ('key D minor'), or ask for two voices."
        )
    is_many = voices > 2
    grid = _pair_grid(theme, judge, 7 if is_many else 1, 0.0 if under or not is_many else worst)
    below = under.score_entries(theme, grid.delays, judge) if under else None
    entries = _best_entries(grid, below, min(worst, _WORST_UNDER))
    if not entries.places:
        return ()
    if is_many:
        followers = _to_followers(entries, grid, voices)
        sets = (
            followers.best_pairs(count)
            if voices == 3
            else followers.best_triples(count, is_cancelled, report)
        )
        chosen = [(members, followers.gain(members)) for members in sets]
    else:
        chosen = [((index,), 0.0) for index in range(min(count, len(entries.places)))]
    found = []
    for members, gain in chosen:
        ordered = entries.in_time(members)
        scores = entries.scores(ordered)
        times = tuple(
            (STEPS[step], grid.delays[delay])
            for step, delay in (entries.places[index] for index in ordered)
        )
        mean = sum(scores) / len(scores)
        found.append(Stretto(theme, judge, times, mean + gain, tuple(scores), under))
    return tuple(found)


class _Grid(NamedTuple):
    """Every direct answer of a theme: at the first degrees of its key, STEPS and ``delays``.

    ``scores[t][s, d]`` is the answer at STEPS[s] and delay d to the theme moved t steps up
    in its key; ``clean`` is 1 where that pair has no fault.
    """

    delays: tuple[Fraction, ...]
    scores: list[Floats]
    clean: list[Floats]


@dataclass(frozen=True, slots=True)
class _Entries:
    """The entries that may be combined, the best alone first; arrays have shape (E,).

    ``places`` are (place in STEPS, number of the delay). ``with_leader`` is each one's score
    with the leader, ``mutual`` (E, E) that of two with each other; ``with_under`` that with
    what stands under it, ``leader_under`` the leader's, None where nothing does.
    """

    places: list[tuple[int, int]]
    with_leader: Floats
    with_under: Floats
    mutual: Floats
    leader_under: float | None

    def in_time(self, members: Sequence[int]) -> list[int]:
        """Give members in the order in which they enter."""
        return sorted(members, key=lambda index: (self.places[index][1], self.places[index][0]))

    def scores(self, members: Sequence[int]) -> list[float]:
        """Give the score of every two voices, and of each with what stands under it."""
        scores = [float(self.with_leader[one]) for one in members]
        scores += [float(self.mutual[a, b]) for a, b in itertools.combinations(members, 2)]
        if self.leader_under is not None:
            scores.append(self.leader_under)
            scores += [float(self.with_under[one]) for one in members]
        return scores


def _best_entries(grid: _Grid, below: Floats | None, worst_under: float) -> _Entries:
    """Choose the best entries by the leader and what stands under, at most MOST_ENTRIES.

    ``below`` has a score for each of STEPS and delays; under ``worst_under`` it shuts out.
    """
    every = [(s, d) for s in range(len(STEPS)) for d in range(1, len(grid.delays))]
    with_leader = np.array([grid.scores[0][place] for place in every])
    with_under = np.array([0.0 if below is None else below[place] for place in every])
    alone = with_leader + with_under
    alone[with_leader <= 0] = 0.0
    if below is not None:
        alone[with_under < worst_under] = 0.0
    order = np.argsort(-alone, kind="stable")[:MOST_ENTRIES]
    order = order[alone[order] > 0]
    places = [every[index] for index in order]
    return _Entries(
        places,
        with_leader[order],
        with_under[order],
        _mutual(places, grid.scores) if places and len(grid.scores) > 1 else np.zeros((0, 0)),
        None if below is None else float(below[STEPS.index(0), 0]),
    )


def _to_followers(entries: _Entries, grid: _Grid, voices: int) -> Followers:
    """Give the entries as what sets of followers are chosen from."""
    is_over = entries.leader_under is not None
    return Followers(
        np.array([STEPS[s] for s, _ in entries.places]),
        np.array([d for _, d in entries.places]),
        entries.with_leader + entries.with_under,
        entries.mutual,
        np.array([grid.clean[0][place] > 0 for place in entries.places]),
        _mutual(entries.places, grid.clean) > 0,
        voices * (voices - 1) // 2 + (voices if is_over else 0),
    )


def find_nearest_stretto(
    theme: Theme, voices: int, judge: Judge = "tonal", *, under: Under | None = None
) -> Stretto | None:
    """Give what comes nearest to a canon where none goes well enough, however faulty it is.

    What two voices must come to is halved until some set does.
    """
    for worst in (WORST_PAIR / 2, WORST_PAIR / 4, 0.0):
        found = find_strettos(theme, voices, judge, under=under, count=1, worst=worst)
        if found:
            return found[0]
    return None


def say_none_goes(voices: int) -> str:
    """Say that no canon in so many voices is worth offering."""
    return f"No canon in {voices} voices of this theme goes well enough to offer."


def _pair_grid(theme: Theme, judge: Judge, degrees: int, worst: float) -> _Grid:
    """Score every direct answer of the theme on its first ``degrees`` degrees.

    A score is 0 where the stretch in which both sound is worse than ``worst``.
    """
    notes = theme.line.sounding
    beat = theme.meters.changes[0][1].beats_quarters[0]
    length = notes[-1].end - notes[0].onset
    delays = tuple(index * beat for index in range(int(length / beat) + 1))
    tick = common_tick([*line_times(theme.line), notes[0].onset, beat])
    weights = tick_weights(theme.meters, tick, int(notes[-1].end / tick))
    delay_ticks = np.array([int((notes[0].onset + delay) / tick) for delay in delays], np.intp)
    usual = weigh_delays(theme.meters, delays)
    near = np.array([weigh_interval(steps) for steps in STEPS])[:, None]
    key = frame_key(theme)
    grids, clean = [], []
    for degree in range(degrees):
        moved = transpose_diatonic(theme, degree) if degree else theme
        leader = line_to_track(moved.line, tick)
        meetings = lay_meetings(
            leader, leader.moved_from_zero(), delay_ticks, weights, is_strict=judge == "strict"
        )
        share = meetings.overlap / int(leader.end[-1])
        answers = AnswerCodes.direct(moved, key)
        judged = judge_answers(
            leader.code, answers.at_steps(np.array(STEPS), usual_answer(theme)), meetings, judge
        )
        heard = score_answers(judged, meetings, share)
        grid = heard * usual * near * weigh_repeats(leader, meetings)
        grid[:, 0] = 0.0
        grid[heard < worst * share**SHARE_POWER] = 0.0
        grids.append(grid)
        clean.append((judged.count == 0).astype(float))
    return _Grid(delays, grids, clean)


def _mutual(entries: list[tuple[int, int]], pairs: list[Floats]) -> Floats:
    """Score each pair of followers against each other; -inf where they cannot be a pair."""
    steps = np.array([STEPS[s] for s, _ in entries])
    delays = np.array([d for _, d in entries])
    stacked = np.stack(pairs)
    apart = delays[None, :] - delays[:, None]
    interval = steps[None, :] - steps[:, None]
    usable = (apart > 0) & (np.abs(interval) <= STEPS[-1])
    degree = np.broadcast_to((steps % 7)[:, None], apart.shape)
    scores = np.full(apart.shape, -np.inf)
    scores[usable] = stacked[degree[usable], interval[usable] + STEPS[-1], apart[usable]]
    scores[scores <= 0] = -np.inf
    return np.maximum(scores, scores.T)
