"""The k cheapest paths, in order, each exact."""

from __future__ import annotations

from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from harmony.search.best import best_path, costs_to_go, count_work, find_dead_end
from harmony.search.outcome import Outcome, PathCost
from harmony.search.packing import FloatArray, Weighed
from harmony.search.stopping import stop_if_asked


def ranked_paths(weighed: Weighed, count: int) -> Outcome:
    """The `count` cheapest paths, or all of them when there are fewer.

    A* with the exact cost to go: every entry of the queue stands for the cheapest
    path that leaves an earlier one at a given layer, so each entry taken out is the
    next answer (the principle of Lawler 1972).  Raises NoPathError when there is no
    path, ValueError when `count` is below 1.
    """
    if count < 1:
        raise ValueError(f"count must be at least 1, not {count}")
    if count == 1:
        return best_path(weighed)
    ahead = costs_to_go(weighed)
    ranks: dict[tuple[int, int], tuple[NDArray[np.intp], FloatArray]] = {}

    def rank_next(layer: int, choice: int) -> tuple[NDArray[np.intp], FloatArray]:
        """Choices of `layer` after `choice` of the layer before, by cost to the end."""
        key = (layer, choice)
        if key not in ranks:
            costs = ahead[0] if layer == 0 else weighed.row_costs(layer - 1, choice) + ahead[layer]
            order = np.argsort(costs, kind="stable")
            ranks[key] = order, costs[order]
        return ranks[key]

    # An entry: total cost, prefix before the layer of deviation, cost of the prefix, rank there.
    queue: list[tuple[float, tuple[int, ...], float, int]] = []
    order, costs = rank_next(0, -1)
    if not len(costs) or not np.isfinite(costs[0]):
        raise find_dead_end(weighed)
    heappush(queue, (float(costs[0]), (), 0.0, 0))
    found: list[PathCost] = []
    expanded = 0
    while queue and len(found) < count:
        stop_if_asked()
        total, prefix, spent, rank = heappop(queue)
        path = list(prefix)
        for layer in range(len(prefix), len(ahead)):
            last = path[-1] if path else -1
            order, costs = rank_next(layer, last)
            expanded += 1
            if rank + 1 < len(order) and np.isfinite(costs[rank + 1]):
                heappush(queue, (spent + float(costs[rank + 1]), tuple(path), spent, rank + 1))
            choice = int(order[rank])
            step = 0.0 if layer == 0 else float(weighed.row_costs(layer - 1, last)[choice])
            spent += step + float(weighed.node[layer][choice])
            path.append(choice)
            rank = 0
        found.append(PathCost(tuple(path), total / weighed.scale))
    value = found[0].value
    return Outcome(tuple(found), value, value, "optimal", count_work(weighed, expanded))
