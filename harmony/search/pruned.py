"""The cheapest path through large layers, with the hopeless choices left out.

A beam gives a good path quickly.  Floors, what a step to or from a choice costs at
the least, then show for most choices that no path through them can be as cheap;
the exact pass runs over the rest only.  Nothing that could be on a cheapest path is
dropped, so the answer and its tie rule are those of the full pass.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.search.outcome import Counts, Outcome, PathCost
from harmony.search.packing import FloatArray, Weighed

BEAM = 24
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Floors:
    """What a path costs at the least, by layer and choice.

    `to[t]` bounds everything up to and including each choice of layer t, `onward[t]`
    everything after it, the step away included.
    """

    to: tuple[FloatArray, ...]
    onward: tuple[FloatArray, ...]


def find_floors(weighed: Weighed) -> Floors:
    """Bound the way to and from every choice; weights of steps must not be negative."""
    packed = weighed.packed
    rates = np.asarray(weighed.pair_rates, dtype=np.float64)
    enter = [np.zeros(packed.sizes[0]), *(rates @ least for least in packed.enter_least)]
    leave = [*(rates @ least for least in packed.leave_least), np.zeros(packed.sizes[-1])]
    before = 0.0
    to = []
    for costs, step in zip(weighed.node, enter, strict=True):
        here = costs + step
        to.append(before + here)
        before += float(here.min(initial=np.inf))
    after = 0.0
    onward = []
    for costs, step in zip(reversed(weighed.node), reversed(leave), strict=True):
        onward.append(step + after)
        after += float((costs + step).min(initial=np.inf))
    onward.reverse()
    return Floors(tuple(to), tuple(onward))


def find_incumbent(weighed: Weighed, floors: Floors) -> float | None:
    """The cost of the best path a narrow beam finds, unscaled; None when it finds none."""
    kept = np.argsort(floors.to[0] + floors.onward[0], kind="stable")[:BEAM]
    spent = weighed.node[0][kept].astype(np.float64)
    for place in range(len(weighed.node) - 1):
        columns = np.arange(weighed.packed.sizes[place + 1])
        totals = weighed.sub_costs(place, kept, columns) + spent[:, None]
        reached = totals.min(axis=0) + weighed.node[place + 1]
        kept = np.argsort(reached + floors.onward[place + 1], kind="stable")[:BEAM]
        spent = reached[kept]
    best = float(spent.min(initial=np.inf))
    return best if np.isfinite(best) else None


def best_path_pruned(weighed: Weighed) -> Outcome | None:
    """The cheapest path, proven; None when the beam finds no path to measure by.

    The weights of steps must not be negative.
    """
    floors = find_floors(weighed)
    incumbent = find_incumbent(weighed, floors)
    if incumbent is None:
        return None
    alive = [
        np.flatnonzero(to + onward <= incumbent)
        for to, onward in zip(floors.to, floors.onward, strict=True)
    ]
    counts = [len(kept) for kept in alive]
    ahead = weighed.node[-1][alive[-1]]
    costs: list[FloatArray] = [ahead]
    steps = 0
    for place in range(len(weighed.node) - 2, -1, -1):
        rows, columns = alive[place], alive[place + 1]
        steps += len(rows) * len(columns)
        block = weighed.sub_costs(place, rows, columns)
        own = weighed.node[place][rows]
        ahead = (block + ahead).min(axis=1, initial=np.inf) + own
        # With the exact cost ahead known, the floor of the way here decides more sharply.
        fine = floors.to[place][rows] - own + ahead <= incumbent
        alive[place], ahead = rows[fine], ahead[fine]
        costs.append(ahead)
    costs.reverse()
    path = _follow(weighed, alive, costs)
    value = float(costs[0].min()) / weighed.scale
    work = Counts(sum(counts), steps)
    return Outcome((PathCost(path, value),), value, value, "optimal", work)


def _follow(weighed: Weighed, alive: list[Indices], costs: list[FloatArray]) -> tuple[int, ...]:
    choice = int(alive[0][costs[0].argmin()])
    path = [choice]
    for place, ahead in enumerate(costs[1:]):
        row = weighed.sub_costs(place, np.array([choice]), alive[place + 1])[0]
        choice = int(alive[place + 1][(row + ahead).argmin()])
        path.append(choice)
    return tuple(path)
