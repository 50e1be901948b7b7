"""The cheapest path, proven, by one pass backward and one step-by-step way forward."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from harmony.search.outcome import Counts, NoPathError, Outcome, PathCost
from harmony.search.packing import FloatArray, Weighed
from harmony.search.pruned import best_path_pruned

PRUNED_ABOVE = 3 * 2**19
"""With more steps than this, hopeless choices are dropped before the exact pass."""


def costs_to_go(weighed: Weighed) -> list[FloatArray]:
    """For each choice of each layer the exact cost from it (included) to the end.

    Bellman's recursion, backward.  Infinity where no way leads on.
    """
    ahead = weighed.node[-1]
    found = [ahead]
    for place in range(len(weighed.node) - 2, -1, -1):
        # Rows run along the later layer, so the minimum reads memory in order.
        ahead = (weighed.pair_costs(place) + ahead).min(axis=1, initial=np.inf) + weighed.node[
            place
        ]
        found.append(ahead)
    found.reverse()
    return found


def costs_from_start(weighed: Weighed) -> list[FloatArray]:
    """For each choice of each layer the exact cost from the start up to it (included)."""
    behind = weighed.node[0]
    found = [behind]
    for place in range(len(weighed.node) - 1):
        behind = (weighed.pair_costs(place) + behind[:, None]).min(
            axis=0, initial=np.inf
        ) + weighed.node[place + 1]
        found.append(behind)
    return found


def follow_best(weighed: Weighed, ahead: list[FloatArray], place: int, choice: int) -> list[int]:
    """The cheapest continuation from one choice, itself included."""
    path = [choice]
    for layer in range(place, len(ahead) - 1):
        choice = int((weighed.row_costs(layer, choice) + ahead[layer + 1]).argmin())
        path.append(choice)
    return path


def best_path(weighed: Weighed) -> Outcome:
    """The cheapest path through all layers.

    Raises NoPathError when there is none.
    """
    if weighed.packed.steps > PRUNED_ABOVE and min(weighed.pair_rates, default=0) >= 0:
        pruned = best_path_pruned(weighed)
        if pruned is not None:
            return pruned
    ahead = costs_to_go(weighed)
    first = int(ahead[0].argmin()) if ahead[0].size else 0
    if not ahead[0].size or not np.isfinite(ahead[0][first]):
        raise find_dead_end(weighed)
    value = float(ahead[0][first]) / weighed.scale
    path = PathCost(tuple(follow_best(weighed, ahead, 0, first)), value)
    return Outcome((path,), value, value, "optimal", count_work(weighed))


def count_work(weighed: Weighed, expanded: int = 0) -> Counts:
    """The choices and steps one full pass weighs."""
    sizes = weighed.packed.sizes
    steps = sum(n * m for n, m in pairwise(sizes))
    return Counts(sum(sizes), steps, expanded)


def find_dead_end(weighed: Weighed) -> NoPathError:
    """Where a problem without a path first fails, going forward."""
    reached = np.isfinite(weighed.node[0])
    if not reached.any():
        return NoPathError(0, is_step=False)
    for place in range(len(weighed.node) - 1):
        there = np.isfinite(weighed.node[place + 1])
        if not there.any():
            return NoPathError(place + 1, is_step=False)
        arrived = np.isfinite(weighed.pair_costs(place)[reached]).any(axis=0) & there
        if not arrived.any():
            return NoPathError(
                place + 1, is_step=True, reached=tuple(np.flatnonzero(reached).tolist())
            )
        reached = arrived
    raise ValueError("this problem has a path")
