"""The fit: slopes by finite differences, problems with a known answer."""

from __future__ import annotations

import numpy as np
import pytest

from harmony.learning.softmax_fit import (
    Selection,
    add_objectives,
    make_objective,
    minimise,
)


def random_selection(seed: int, *, slots: int = 3, rows: int = 4, choices: int = 12) -> Selection:
    chance = np.random.default_rng(seed)
    sizes = chance.integers(2, 6, choices)
    starts = np.concatenate([[0], np.cumsum(sizes)])
    places = [chance.integers(0, rows, starts[-1]) + rows * slot for slot in range(slots)]
    spans = tuple((rows * slot, rows * (slot + 1)) for slot in range(slots))
    chosen = starts[:-1] + chance.integers(0, sizes)
    return Selection(np.array(places, np.int32), spans, starts, chosen)


@pytest.mark.parametrize("seed", range(3))
def test_the_slope_is_that_of_the_value(seed: int) -> None:
    one, two = (make_objective(random_selection(s), np.full(12, 0.5)) for s in (seed, seed + 50))
    objective = add_objectives(one, two, 0.3)
    here = np.random.default_rng(seed).normal(size=12)
    _, slope = objective(here)
    for place in range(12):
        step = np.zeros(12)
        step[place] = 1e-5
        rise = (objective(here + step)[0] - objective(here - step)[0]) / 2e-5
        assert slope[place] == pytest.approx(rise, abs=1e-6)


def test_the_minimum_has_no_slope_and_nothing_near_is_less() -> None:
    objective = make_objective(random_selection(7), np.full(12, 0.5))
    least = minimise(objective, np.zeros(12), steps=200, precision=1e-15)
    value, slope = objective(least)
    assert np.abs(slope).max() < 1e-5
    around = np.random.default_rng(1).normal(size=(50, 12))
    assert all(objective(least + 0.01 * move)[0] > value for move in around)


def test_a_quadratic_is_minimised_exactly() -> None:
    scale, goal = np.arange(1.0, 21.0), np.linspace(-3, 3, 20)

    def bowl(x):
        return float(scale @ (x - goal) ** 2), 2 * scale * (x - goal)

    assert minimise(bowl, np.zeros(20), steps=200, precision=1e-16) == pytest.approx(goal, abs=1e-6)


def test_two_open_things_are_chosen_in_proportion_to_their_odds() -> None:
    """Three choices of one, one of the other: without penalty the costs differ by log 3."""
    rows = np.array([[0, 1] * 4], np.int32)
    selection = Selection(rows, ((0, 2),), np.arange(0, 9, 2), np.array([0, 2, 4, 7]))
    costs = minimise(
        make_objective(selection, np.zeros(2)), np.zeros(2), steps=100, precision=1e-15
    )
    assert costs[1] - costs[0] == pytest.approx(np.log(3), abs=1e-6)


def test_a_cost_known_beforehand_is_made_up_for() -> None:
    rows = np.array([[0, 1] * 4], np.int32)
    given = np.array([0.0, 1.0] * 4)
    selection = Selection(rows, ((0, 2),), np.arange(0, 9, 2), np.array([0, 2, 4, 7]), given)
    costs = minimise(
        make_objective(selection, np.zeros(2)), np.zeros(2), steps=100, precision=1e-15
    )
    assert costs[1] - costs[0] == pytest.approx(np.log(3) - 1, abs=1e-6)
