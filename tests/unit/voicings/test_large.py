"""Many voices: searched within bounds, with the same answers as from a whole table."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from harmony.instruments.catalogue import ensemble
from harmony.voicings import problem as problem_module
from harmony.voicings.api import prepare

TEXT = "C: I IV6 | V7 I"


def choir_in(count):
    """A choir with its parts divided."""
    choir = ensemble("SATB choir")
    order = (0, 1, 2, 3, 0, 2, 1, 3)[:count]
    voices = tuple(
        replace(choir.voices[part], name=f"{choir.voices[part].name} {number}")
        for number, part in enumerate(sorted(order), start=1)
    )
    gaps = (*(12,) * (count - 2), 24)
    return replace(choir, voices=voices, gaps=gaps, groups=(), staves=())


@pytest.fixture
def everything_is_large(monkeypatch):
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)


@pytest.mark.parametrize("preset", ["strings", "brass", "parallel", "free"])
def test_within_bounds_the_answers_are_those_of_the_whole_table(preset, monkeypatch):
    players = choir_in(5)
    whole = prepare(TEXT, players, preset=preset)
    expected = whole.best(), whole.k_best(4), whole.unlike(3, 2), whole.prices()
    assert not whole.is_large
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    bounded = prepare(TEXT, players, preset=preset)
    assert bounded.is_large
    best = bounded.best()
    assert (best.cost, best.outcome.status) == (expected[0].cost, "optimal")
    assert [one.cost for one in bounded.k_best(4)] == [one.cost for one in expected[1]]
    assert [one.cost for one in bounded.unlike(3, 2)] == [one.cost for one in expected[2]]
    for ours, theirs in zip(bounded.prices(), expected[3], strict=True):
        for some, every in zip(ours, theirs, strict=True):
            assert some
            assert all(every[pitch] == pytest.approx(cost) for pitch, cost in some.items())


@pytest.mark.usefixtures("everything_is_large")
def test_eight_voices_are_proven_and_few_steps_are_worked_out():
    problem = prepare(TEXT, choir_in(8), preset="strings")
    assert problem.is_large
    best = problem.best()
    assert best.outcome.status == "optimal"
    assert best.outcome.lower_bound == best.cost
    sizes = problem.layers.sizes
    all_steps = sum(n * m for n, m in pairwise(sizes))
    assert best.outcome.counts.steps < all_steps / 4


@pytest.mark.usefixtures("everything_is_large")
def test_stopping_keeps_the_best_so_far_and_says_how_far_off_it_may_be():
    problem = prepare(TEXT, choir_in(6), preset="strings")
    proven = problem.best()
    seen = []
    stopped = problem.best(report=lambda progress: seen.append(progress) or len(seen) < 3)
    assert stopped.outcome.status == "stopped"
    assert stopped.outcome.lower_bound <= proven.cost <= stopped.cost
    assert all(progress.lower_bound <= progress.value for progress in seen)
    told = stopped.to_json()
    assert told["status"] == "stopped"
    assert told["lower_bound"] <= told["cost"]
    assert problem.best().cost == proven.cost
