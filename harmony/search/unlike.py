"""Alternatives that are really different: each unlike every earlier one in d layers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray

from harmony.search.best import best_path, count_work
from harmony.search.outcome import Outcome, PathCost
from harmony.search.packing import FloatArray, Weighed
from harmony.search.stopping import stop_if_asked


def unlike_paths(
    weighed: Weighed,
    count: int,
    distance: int,
    *,
    kinds: Sequence[NDArray[np.integer]] | None = None,
) -> Outcome:
    """Up to `count` paths, each differing from every earlier one in `distance` layers or more.

    The first is the best of all; each later one is the cheapest of those that are
    far enough from all before it, exactly.  Two choices of a layer differ when
    their entries in `kinds` do (by default every choice is its own kind).  Fewer
    paths come back when no more exist.  Raises NoPathError when there is none,
    ValueError for a count below 1 or a distance outside 0 to the number of layers.
    """
    layers = len(weighed.node)
    if count < 1:
        raise ValueError(f"count must be at least 1, not {count}")
    if not 0 <= distance <= layers:
        raise ValueError(f"distance must be from 0 to {layers}, not {distance}")
    kinds = [np.arange(n) for n in weighed.packed.sizes] if kinds is None else kinds
    first = best_path(weighed)
    found = [first.paths[0]]
    guides: list[list[FloatArray]] = []
    expanded = 0
    while len(found) < count:
        unlike = _differences(found[-1].choices, kinds)
        guides.append(_costs_to_go_unlike(weighed, unlike, distance))
        path, work = _cheapest_unlike(
            weighed, [_differences(p.choices, kinds) for p in found], guides, distance
        )
        expanded += work
        if path is None:
            break
        found.append(path)
    return Outcome(tuple(found), first.value, first.value, "optimal", count_work(weighed, expanded))


def _differences(
    path: Sequence[int], kinds: Sequence[NDArray[np.integer]]
) -> list[NDArray[np.intp]]:
    """For each layer 1 where a choice is of another kind than the path's, else 0."""
    return [
        (kind != kind[choice]).astype(np.intp) for choice, kind in zip(path, kinds, strict=True)
    ]


def _costs_to_go_unlike(
    weighed: Weighed, unlike: list[NDArray[np.intp]], distance: int
) -> list[FloatArray]:
    """Exact cost to the end by choice and by layers still to differ from one earlier path.

    Entry t has shape (distance + 1, n_t): row k is the cost when, counting from
    layer t on, at least k more layers must differ.
    """
    last = np.repeat(weighed.node[-1][None, :], distance + 1, axis=0)
    for need in range(1, distance + 1):
        last[need] = np.where(need - unlike[-1] <= 0, last[need], np.inf)
    found = [last]
    for place in range(len(weighed.node) - 2, -1, -1):
        stop_if_asked()
        steps, ahead = weighed.pair_costs(place), found[-1]
        onward = np.stack(
            [(steps + ahead[need]).min(axis=1, initial=np.inf) for need in range(distance + 1)]
        )
        needs = np.maximum(np.arange(distance + 1)[:, None] - unlike[place][None, :], 0)
        columns = np.arange(len(weighed.node[place]))[None, :]
        found.append(onward[needs, columns] + weighed.node[place])
    found.reverse()
    return found


def _cheapest_unlike(
    weighed: Weighed,
    unlike: list[list[NDArray[np.intp]]],
    guides: list[list[FloatArray]],
    distance: int,
) -> tuple[PathCost | None, int]:
    """A* over (layer, choice, layers still to differ from each earlier path).

    The guide is the largest of the exact costs against each earlier path alone: it
    never overstates, so the first path completed is the cheapest.  Of the ways on
    from a path only the cheapest not yet taken stands in the queue.
    """
    layers = len(weighed.node)
    fans: list[_Fan] = []
    queue: list[tuple[float, int, int]] = []

    def open_fan(place: int, path: tuple[int, ...], needs: tuple[int, ...], spent: float) -> None:
        costs = (
            np.zeros_like(weighed.node[0]) if not place else weighed.row_costs(place - 1, path[-1])
        )
        ahead = guides[0][place][needs[0]]
        for guide, need in zip(guides[1:], needs[1:], strict=True):
            ahead = np.maximum(ahead, guide[place][need])
        totals = costs + ahead
        order = np.argsort(totals, kind="stable")
        if np.isfinite(totals[order[0]]):
            fans.append(_Fan(place, path, needs, spent, order, totals, costs + weighed.node[place]))
            heappush(queue, (spent + float(totals[order[0]]), len(fans) - 1, 0))

    open_fan(0, (), (distance,) * len(unlike), 0.0)
    closed: set[tuple[int, int, tuple[int, ...]]] = set()
    while queue:
        stop_if_asked()
        total, number, rank = heappop(queue)
        fan = fans[number]
        if rank + 1 < len(fan.order) and np.isfinite(fan.totals[fan.order[rank + 1]]):
            following = fan.spent + float(fan.totals[fan.order[rank + 1]])
            heappush(queue, (following, number, rank + 1))
        choice, place = int(fan.order[rank]), fan.place
        needs = tuple(
            max(need - int(one[place][choice]), 0)
            for need, one in zip(fan.needs, unlike, strict=True)
        )
        key = (place, choice, needs)
        if key in closed:
            continue
        closed.add(key)
        path = (*fan.path, choice)
        if len(path) == layers:
            return PathCost(path, total / weighed.scale), len(closed)
        open_fan(place + 1, path, needs, fan.spent + float(fan.costs[choice]))
    return None, len(closed)


@dataclass(frozen=True, slots=True)
class _Fan:
    """The ways on from a path into layer `place`, cheapest to the end first.

    `totals` are the floors of each way to the end, `costs` those of the step and the
    choice alone.
    """

    place: int
    path: tuple[int, ...]
    needs: tuple[int, ...]
    spent: float
    order: NDArray[np.intp]
    totals: FloatArray
    costs: FloatArray
