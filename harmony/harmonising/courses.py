"""Courses: a voice that goes its way by one kind of step without a break, and returns forbidden.

A sentence such as "the bass falls by semitones from D to A" is held to by the
search itself. It carries how far the course has come as a part of its state, so
that of all ways with such a course the answer is the cheapest (Bellman's recursion
over the chord and the length of the course together).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.vocabulary import Vocabulary

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

BASS, ROOT, INNER = "bass", "root", "inner"
_WAIT = 0.35  # a course that stands still for a span


@dataclass(frozen=True, slots=True)
class Course:
    """A voice moving by one kind of step: so many steps at least, and at most.

    ``voice`` is the ``bass``, the ``root`` of the chords, or an ``inner`` line through
    their notes; ``steps`` are the steps allowed, in semitones up (11 is a semitone
    down). Each step is worth ``reward`` against the other costs.
    """

    voice: str
    steps: tuple[int, ...]
    least: int = 3
    most: int = 8
    reward: float = 1.2


@dataclass(frozen=True, slots=True)
class Ran:
    """A way with a course in it: the chords, the spans of its first and last note, the cost.

    ``notes`` are the course's notes from span ``first`` to ``last``, in semitones above
    the tonic.
    """

    path: tuple[int, ...]
    first: int
    last: int
    notes: tuple[int, ...]
    value: float


def find_course(
    vocabulary: Vocabulary, nodes: FloatArray, steps: Sequence[FloatArray], course: Course
) -> Ran | None:
    """The cheapest way through that has a course in it; None where there is none.

    Parameters
    ----------
    nodes, steps
        As for :func:`harmony.harmonising.chain.find_best`, of one vocabulary.
    """
    if course.voice != INNER:
        notes = _notes_of(vocabulary, course.voice)
        gap = (notes[None, :] - notes[:, None]) % 12
        found = _run(nodes, steps, course, np.isin(gap, course.steps), gap == 0, None)
        if found is None:
            return None
        path, first, last, value = found
        line = tuple(int(notes[choice]) for choice in path[first : last + 1])
        return Ran(tuple(path), first, last, line, value)
    (step,) = course.steps
    best: Ran | None = None
    anywhere = np.ones((len(vocabulary), len(vocabulary)), bool)
    for start in range(12):
        line_notes = [(start + step * number) % 12 for number in range(course.most + 1)]
        has = np.stack([bears(vocabulary, INNER, note) for note in line_notes])
        found = _run(nodes, steps, course, anywhere, anywhere, has)
        if found is not None and (best is None or found[3] < best.value):
            path, first, last, value = found
            line = _follow(path, first, last, has, line_notes)
            best = Ran(tuple(path), first, last, line, value)
    return best


def bears(vocabulary: Vocabulary, voice: str, note: int) -> BoolArray:
    """Which chords have a note, above the tonic, in the voice of a course, (chords,)."""
    if voice == INNER:
        # The line lies inside: a note in the bass is not heard as one.
        inside: BoolArray = vocabulary.members[:, note] & (vocabulary.basses != note)
        return inside
    has: BoolArray = _notes_of(vocabulary, voice) == note
    return has


def _notes_of(vocabulary: Vocabulary, voice: str) -> IntArray:
    return vocabulary.basses if voice == BASS else vocabulary.roots


def _follow(
    path: Sequence[int], first: int, last: int, has: BoolArray, notes: Sequence[int]
) -> tuple[int, ...]:
    """The notes of an inner line along a way: on as soon as the chord has the next."""
    told, stage = [notes[0]], 0
    for choice in path[first + 1 : last + 1]:
        if stage + 1 < len(notes) and has[stage + 1, choice]:
            stage += 1
        told.append(notes[stage])
    return tuple(told)


def _run(
    nodes: FloatArray,
    steps: Sequence[FloatArray],
    course: Course,
    goes: BoolArray,
    waits: BoolArray,
    has: BoolArray | None,
) -> tuple[list[int], int, int, float] | None:
    """Bellman's recursion over chord and stage: before, each note of the course, after.

    ``has`` says for an inner line which chords have its note of each stage.
    """
    width = nodes.shape[1]
    stages = course.most + 3
    after = stages - 1
    closed = np.zeros((stages, width))
    if has is not None:
        closed[1:after] = np.where(has, 0.0, np.inf)
    ahead = np.full((stages, width), np.inf)
    ahead[0] = nodes[0]
    ahead[1] = nodes[0]
    ahead += closed
    stop = np.where(goes, -course.reward, np.inf)
    stand = np.where(waits, _WAIT, np.inf)
    numbers, everyone = np.arange(stages)[:, None], np.arange(width)
    back: list[tuple[IntArray, IntArray]] = []
    for place, table in enumerate(steps, start=1):
        ways = ahead[:, :, None] + table
        plain, plain_from = _lead(ways)
        walked, walked_from = _lead(ways[1 : after - 1] + stop)
        stood, stood_from = _lead(ways[1:after] + stand)
        # Each note of the course: come to from the one before, or stood on; then after it.
        led = np.concatenate([plain[:1], walked])
        led_from = np.concatenate([plain_from[:1], walked_from])
        stays = stood < led
        over = plain[course.least + 1 :].argmin(axis=0) + course.least + 1
        new = np.stack([plain[0], *np.where(stays, stood, led), plain[over, everyone]])
        source = np.zeros((stages, width), np.intp)
        source[1:after] = np.where(stays, numbers[1:after], numbers[: after - 1])
        source[after] = over
        chord = np.stack(
            [plain_from[0], *np.where(stays, stood_from, led_from), plain_from[over, everyone]]
        )
        ahead = new + nodes[place] + closed
        back.append((source, chord))
    ahead[: course.least + 1] = np.inf
    stage, choice = map(int, np.unravel_index(int(ahead.argmin()), ahead.shape))
    value = float(ahead[stage, choice])
    if not np.isfinite(value):
        return None
    path, where = [choice], [stage]
    for sources, chords in reversed(back):
        stage, choice = int(sources[stage, choice]), int(chords[stage, choice])
        path.append(choice)
        where.append(stage)
    path, where = path[::-1], where[::-1]
    inside = [place for place, at in enumerate(where) if 0 < at < after]
    # What stands still at the end is no longer under way.
    last = next(p for p in inside if where[p] == where[inside[-1]])
    return path, inside[0], last, value


def _lead(ways: FloatArray) -> tuple[FloatArray, IntArray]:
    """The least of the ways into each chord, and from which chord, (stages, chords) each."""
    return ways.min(axis=1), ways.argmin(axis=1)


def find_turning(
    vocabulary: Vocabulary, nodes: FloatArray, steps: Sequence[FloatArray], price: float
) -> tuple[list[int], float]:
    """The cheapest way where going straight back to the chord before last costs ``price``.

    The state is the chord and the last other chord before it. Of the ways into a
    chord only the best from each of two other chords can matter, which keeps the
    search as quick as the plain one and exact.

    Returns
    -------
    path, value
        One chord a span; the value has the price of every return in it.
    """
    kinds = vocabulary.roots * (int(vocabulary.kinds.max()) + 1) + vocabulary.kinds
    names, triad = np.unique(kinds, return_inverse=True)
    count, width = len(names), len(triad)
    # groups[g, k]: the k-th inversion of triad g; where there are fewer, `width` stands.
    most = int(np.bincount(triad).max())
    groups = np.full((count, most), width)
    for name in range(count):
        rows = np.flatnonzero(triad == name)
        groups[name, : len(rows)] = rows
    real = groups < width
    everyone = np.arange(width)
    same = triad[:, None] == triad
    inside: dict[int, FloatArray] = {}
    # ahead[p, c]: the best way to chord c whose last other chord was p (count: none yet).
    ahead = np.full((count + 1, width), np.inf)
    ahead[count] = nodes[0]
    back: list[tuple[IntArray, IntArray]] = []
    for place, table in enumerate(steps, start=1):
        first = ahead.argmin(axis=0)
        best = ahead[first, everyone]
        ahead[first, everyone] = np.inf
        second = ahead.argmin(axis=0)
        rival = ahead[second, everyone]
        ahead[first, everyone] = best
        # Going on to a chord of the triad that was there before costs the price.
        cost_first = best[:, None] + price * (first[:, None] == triad[None, :])
        other = rival[:, None] < cost_first
        entry = np.where(other, rival[:, None], cost_first) + table
        entry[same] = np.inf
        entry = np.vstack([entry, np.full((1, width), np.inf)])
        ways = entry[groups]
        pick = ways.argmin(axis=1)
        new = np.full_like(ahead, np.inf)
        new[:count] = np.take_along_axis(ways, pick[:, None, :], axis=1)[:, 0]
        chord = np.zeros(ahead.shape, np.intp)
        chord[:count] = np.minimum(np.take_along_axis(groups, pick, axis=1), width - 1)
        before = np.where(other, second[:, None], first[:, None])
        state = np.zeros(ahead.shape, np.intp)
        state[:count] = before[chord[:count], everyone]
        # A triad that stays keeps what was before it.
        if id(table) not in inside:
            wide = np.pad(table, (0, 1), constant_values=np.inf)
            inside[id(table)] = wide[groups[:, :, None], groups[:, None, :]]
        held = np.pad(ahead, ((0, 0), (0, 1)), constant_values=np.inf)[:, groups]
        stays = held[:, :, :, None] + inside[id(table)]
        choice_in = stays.argmin(axis=2)
        stayed = np.take_along_axis(stays, choice_in[:, :, None, :], axis=2)[:, :, 0]
        came = np.take_along_axis(
            np.broadcast_to(groups, (count + 1, *groups.shape)), choice_in, axis=2
        )
        columns = groups[real]
        value_in, came_in = stayed[:, real], came[:, real]
        better = value_in < new[:, columns]
        new[:, columns] = np.where(better, value_in, new[:, columns])
        chord[:, columns] = np.where(better, came_in, chord[:, columns])
        state[:, columns] = np.where(better, np.arange(count + 1)[:, None], state[:, columns])
        ahead = new + nodes[place]
        back.append((state, chord))
    name, choice = map(int, np.unravel_index(int(ahead.argmin()), ahead.shape))
    value = float(ahead[name, choice])
    path = [choice]
    for states, chords in reversed(back):
        name, choice = int(states[name, choice]), int(chords[name, choice])
        path.append(choice)
    return path[::-1], value


def returns_at(vocabulary: Vocabulary, path: Sequence[int]) -> list[bool]:
    """Where a way goes straight back to the chord before last, one value a span."""
    told: list[tuple[int, int]] = []
    found = []
    for choice in path:
        here = (int(vocabulary.roots[choice]), int(vocabulary.kinds[choice]))
        moves = not told or told[-1] != here
        found.append(moves and len(told) > 1 and told[-2] == here)
        if moves:
            told.append(here)
    return found
