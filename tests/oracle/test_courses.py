"""Courses of a voice and returns priced: the quick search against trying every way."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
import pytest

from harmony.harmonising.courses import BASS, INNER, ROOT, Course, find_course
from harmony.harmonising.returns import find_turning, returns_at

COUNT, PLACES = 6, 5
_WAIT = 0.35


@dataclass
class Chords:
    """As much of a vocabulary as these searches look at."""

    roots: np.ndarray
    kinds: np.ndarray
    basses: np.ndarray
    members: np.ndarray

    def __len__(self) -> int:
        return len(self.roots)


def make(seed: int):
    rng = np.random.default_rng(seed)
    chords = Chords(
        rng.integers(0, 3, COUNT), rng.integers(0, 2, COUNT), rng.integers(0, 4, COUNT),
        rng.random((COUNT, 12)) < 0.5,
    )  # fmt: skip
    nodes = rng.integers(0, 20, (PLACES, COUNT)).astype(float)
    steps = [rng.integers(0, 20, (COUNT, COUNT)).astype(float) for _ in range(PLACES - 1)]
    return chords, nodes, steps


def cost(nodes, steps, way) -> float:
    return sum(nodes[t, way[t]] for t in range(PLACES)) + sum(
        steps[t][way[t], way[t + 1]] for t in range(PLACES - 1)
    )


def least_cost(nodes, steps, extra) -> float:
    """What the cheapest of all ways costs, ``extra`` on each included."""
    ways = product(range(COUNT), repeat=PLACES)
    return min(cost(nodes, steps, way) + extra(way) for way in ways)


def check_cost(found, least: float) -> None:
    """A course found costs the least there is; none is found where there is none."""
    if not np.isfinite(least):
        assert found is None
        return
    assert found is not None
    assert found.value == pytest.approx(least)


def best_course(notes, course: Course) -> float:
    """The best a line of notes can earn by one course in it; infinite without one."""
    best = np.inf
    for start in range(PLACES):
        made, earned = 0, 0.0
        for place in range(start + 1, PLACES):
            gap = (notes[place] - notes[place - 1]) % 12
            if gap in course.steps:
                made, earned = made + 1, earned - course.reward
            elif gap == 0:
                earned += _WAIT
            else:
                break
            if made > course.most:
                break
            if made >= course.least:
                best = min(best, earned)
    return best


def best_line(chords: Chords, way, course: Course) -> float:
    """The best an inner line through the notes of chords can earn."""
    (step,) = course.steps
    best = np.inf

    def go(place: int, note: int, made: int, earned: float) -> None:
        nonlocal best
        if made >= course.least:
            best = min(best, earned)
        if place + 1 == PLACES:
            return
        choice = way[place + 1]
        for after, more, gain in ((note, 0, _WAIT), ((note + step) % 12, 1, -course.reward)):
            has = chords.members[choice, after] and chords.basses[choice] != after
            if has and made + more <= course.most:
                go(place + 1, after, made + more, earned + gain)

    for start, note in product(range(PLACES), range(12)):
        if chords.members[way[start], note] and chords.basses[way[start]] != note:
            go(start, note, 0, 0.0)
    return best


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("voice", [BASS, ROOT])
def test_a_course_found_is_the_cheapest_there_is(seed, voice):
    chords, nodes, steps = make(seed)
    notes = chords.basses if voice == BASS else chords.roots
    course = Course(voice, (1,), least=2, most=3, reward=5.0)
    found = find_course(chords, nodes, steps, course)
    least = least_cost(nodes, steps, lambda way: best_course([int(notes[c]) for c in way], course))
    check_cost(found, least)
    if found is None:
        return
    line = [int(notes[choice]) for choice in found.path[found.first : found.last + 1]]
    assert tuple(line) == found.notes
    made = sum((b - a) % 12 == 1 for a, b in pairwise(line))
    assert 2 <= made <= 3


@pytest.mark.parametrize("seed", range(4))
def test_an_inner_line_found_is_the_cheapest_there_is(seed):
    chords, nodes, steps = make(seed)
    course = Course(INNER, (11,), least=2, most=3, reward=5.0)
    least = least_cost(nodes, steps, lambda way: best_line(chords, way, course))
    check_cost(find_course(chords, nodes, steps, course), least)


@pytest.mark.parametrize("seed", range(8))
def test_with_returns_priced_the_way_found_is_the_cheapest(seed):
    chords, nodes, steps = make(seed)
    price = 7.0
    least = least_cost(nodes, steps, lambda way: price * sum(returns_at(chords, way)))
    path, value = find_turning(chords, nodes, steps, price)
    assert value == pytest.approx(least)
    assert cost(nodes, steps, path) + price * sum(returns_at(chords, path)) == value
