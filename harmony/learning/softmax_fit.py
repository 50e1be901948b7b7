"""Fitting the weights of tables to choices made, by penalised conditional likelihood.

The chance of a choice among those open is taken to fall exponentially with its
cost, the sum of one row of each table. The weights maximise the likelihood of the
choices made, less a quadratic penalty; the problem is convex, so it has one
solution. Everything is done in a fixed order in double precision.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Objective = Callable[[Floats], tuple[float, Floats]]


@dataclass(frozen=True, slots=True)
class Selection:
    """Choices as the fit sees them.

    ``rows`` (slots, m) places in the vector of weights, each slot keeping to its
    own stretch ``spans[slot]``; ``starts`` and ``chosen`` as in `Choices`; ``given``
    (m,) is a cost known beforehand, none if left out.
    """

    rows: NDArray[np.int32]
    spans: tuple[tuple[int, int], ...]
    starts: NDArray[np.intp]
    chosen: NDArray[np.intp]
    given: Floats | float = 0.0

    def costs(self, weights: Floats) -> Floats:
        """Give the cost of everything open, shape (m,)."""
        total = np.zeros(self.rows.shape[1]) + self.given
        for slot in self.rows:
            total += weights[slot]
        return total

    def chances(self, costs: Floats) -> tuple[Floats, Floats]:
        """Give the chance of everything open (m,), and minus its logarithm for the chosen (c,)."""
        first, sizes = self.starts[:-1], np.diff(self.starts)
        least = np.minimum.reduceat(costs, first)
        raised = np.exp(np.repeat(least, sizes) - costs)
        sums = np.add.reduceat(raised, first)
        return raised / np.repeat(sums, sizes), np.log(sums) + costs[self.chosen] - least


def make_objective(selection: Selection, penalties: Floats) -> Objective:
    """Give the function to minimise, with its gradient: loss plus half the penalty of squares."""

    def objective(weights: Floats) -> tuple[float, Floats]:
        chances, losses = selection.chances(selection.costs(weights))
        surplus = -chances
        surplus[selection.chosen] += 1
        slope = penalties * weights
        for slot, (start, stop) in zip(selection.rows, selection.spans, strict=True):
            slope[start:stop] += np.bincount(slot - start, weights=surplus, minlength=stop - start)
        return float(losses.sum() + 0.5 * (penalties * weights) @ weights), slope

    return objective


def add_objectives(one: Objective, other: Objective, share: float) -> Objective:
    """Give the sum of one function and a share of another."""

    def objective(weights: Floats) -> tuple[float, Floats]:
        (first, first_slope), (second, second_slope) = one(weights), other(weights)
        return first + share * second, first_slope + share * second_slope

    return objective


def minimise(
    objective: Objective,
    start: Floats,
    *,
    steps: int,
    remembered: int = 12,
    precision: float = 1e-6,
) -> Floats:
    """Minimise a smooth convex function by a quasi-Newton method of limited memory.

    Each step is halved until it descends enough (Armijo's condition). The end is
    after `steps`, or when a step gains less than `precision` of the value.
    """
    here, (value, slope) = start, objective(start)
    history: list[tuple[Floats, Floats]] = []
    for _ in range(steps):
        direction = _find_direction(slope, history)
        descent = float(slope @ direction)
        size = 1.0
        there, (new_value, new_slope) = here + direction, objective(here + direction)
        while new_value > value + 1e-4 * size * descent and size > 1e-9:
            size /= 2
            there = here + size * direction
            new_value, new_slope = objective(there)
        if new_value >= value:
            break
        history = [*history, (there - here, new_slope - slope)][-remembered:]
        gain = value - new_value
        here, value, slope = there, new_value, new_slope
        if gain < precision * abs(value):
            break
    return here


def _find_direction(slope: Floats, history: list[tuple[Floats, Floats]]) -> Floats:
    """Minus the slope, rescaled by what the latest steps say of the curvature."""
    if not history:
        return -slope / float(np.sqrt(slope @ slope))
    direction = -slope
    shares = []
    for step, change in reversed(history):
        share = float(step @ direction) / float(step @ change)
        shares.append(share)
        direction = direction - share * change
    step, change = history[-1]
    direction = direction * (float(step @ change) / float(change @ change))
    for (step, change), share in zip(history, reversed(shares), strict=True):
        direction = direction + (share - float(change @ direction) / float(step @ change)) * step
    return direction
