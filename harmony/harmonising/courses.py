"""Courses: a voice that goes its way by one kind of step without a break.

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
