"""The optimum against another solver: Google OR-Tools' CP-SAT, on problems of every preset."""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest
from ortools.sat.python import cp_model

from harmony.chords.api import parse
from harmony.errors import NoSolutionError
from harmony.voicings.api import prepare
from harmony.voicings.presets import preset_names
from harmony.voicings.rules import NoConsecutivePerfects, RuleSet
from tests.property.progressions import NUMERALS, OWN, SYMBOLS, small_choir

PROBLEMS_PER_PRESET = 6
SCALE = 1000


def random_problem(preset, number):
    """A random progression of four to seven chords; every third one forbids consecutives."""
    rng = random.Random(f"{preset} {number}")
    pool = NUMERALS * 2 + SYMBOLS + OWN
    chords = rng.choices(pool, k=rng.randint(4, 7))
    text = f"{rng.choice(['C', 'Eb', 'A'])}: " + " | ".join(chords)
    rules = RuleSet(steps=(NoConsecutivePerfects(),)) if number % 3 == 0 else None
    return prepare(parse(text), small_choir(), rules, preset=preset)


def solve_with_cp_sat(problem):
    """The least cost by CP-SAT, in thousandths; None where it proves there is no solution."""
    layers = problem.layers
    rates = np.array([problem.preset.weights[c.name] / c.grain for c in problem.costs])
    whole = np.rint(rates * SCALE).astype(np.int64)
    assert np.allclose(whole, rates * SCALE)
    model = cp_model.CpModel()
    choice = [model.new_int_var(0, n - 1, f"chord {t}") for t, n in enumerate(layers.sizes)]
    parts = []
    for variable, terms in zip(choice, layers.single, strict=True):
        costs = (whole @ terms).tolist()
        part = model.new_int_var(min(costs), max(costs), "")
        model.add_element(variable, costs, part)
        parts.append(part)
    for (here, there), steps in zip(pairwise(choice), layers.pair, strict=True):
        rows, cols = (np.arange(n) for n in steps.shape)
        costs = np.tensordot(whole, steps.block(rows, cols).astype(np.int64), axes=1)
        mask = steps.allowed(rows, cols)
        open_steps = np.argwhere(np.ones(steps.shape, dtype=bool) if mask is None else mask)
        part = model.new_int_var(int(costs.min()), int(costs.max()), "")
        table = [(int(r), int(c), int(costs[r, c])) for r, c in open_steps]
        model.add_allowed_assignments([here, there, part], table)
        parts.append(part)
    model.minimize(sum(parts))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    return int(solver.objective_value)


@pytest.mark.parametrize("preset", preset_names())
def test_same_optimum(preset):
    solved = 0
    for number in range(PROBLEMS_PER_PRESET):
        problem = random_problem(preset, number)
        try:
            ours = problem.best().cost
        except NoSolutionError:
            try:
                assert solve_with_cp_sat(problem) is None
            except NoSolutionError:
                continue  # a chord without any voicing leaves nothing to model
            continue
        assert solve_with_cp_sat(problem) == round(ours * SCALE)
        solved += 1
    assert solved >= PROBLEMS_PER_PRESET - 1
