"""Large problems made small: the choices that no path within a bound can use are left out.

For layers of thousands of choices the table of all steps is never made.  A beam
finds a good path; a forward pass over the terms that are quick to work out, and a
backward pass over all terms for what that leaves, show which choices can stand on a
path that costs no more than a bound.  What remains is small, holds every path within
the bound, and is searched like any other problem.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmony.search.beam import trace_paths
from harmony.search.dead_ends import find_dead_end
from harmony.search.layers import BoolArray, Indices, Layers, PairTerms
from harmony.search.outcome import Counts
from harmony.search.stopping import stop_if_asked
from harmony.search.weights import ExactWeights, arithmetic_for

BEAM = 48
MOST_THREADS = 4
CHUNK = 2**16
"""Steps looked at together: small enough to stay in a processor's cache."""

FloatArray = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search over large layers has come.

    `share` of the work is done (0 to 1), `value` is the best cost found, that of the path
    `choices`, and no path costs less than `lower_bound`.  `makes_engine` is True while the
    compiled engine is made for the first time on this machine.
    """

    share: float
    value: float
    lower_bound: float
    choices: tuple[int, ...] = ()
    makes_engine: bool = False


Each = Callable[[Callable[[slice], Any], Iterable[slice]], Iterator[Any]]
"""Applies a function to parts of a block, in order of the parts."""

Report = Callable[[Progress], bool]
"""Told of the progress; answers whether to go on."""


@dataclass(frozen=True, slots=True)
class Shrunk:
    """What a bound leaves of a large problem.

    `kept[t]` are the choices of layer t that may stand on a path costing at most
    `bound`, rising, and `ahead[t]` what the way on from each costs, itself included.
    `beam` are complete paths found on the way, cheapest first, with
    their costs.  When the search was stopped `is_complete` is False and `kept` holds
    only the best of the beam.  Costs are unscaled.
    """

    kept: tuple[Indices, ...]
    ahead: tuple[FloatArray, ...]
    bound: float
    beam: tuple[tuple[float, tuple[int, ...]], ...]
    lower_bound: float
    counts: Counts
    is_complete: bool
    is_slow: bool = False


@dataclass(frozen=True, slots=True)
class _Costs:
    """Costs of choices and steps under exact weights, worked out where they are asked for."""

    layers: Layers
    weights: ExactWeights
    node: tuple[FloatArray, ...]
    kind: type[np.float32] | type[np.float64]

    def block(self, place: int, rows: Indices, columns: Indices) -> FloatArray:
        steps = self.layers.pair[place]
        terms = steps.block(rows, columns)
        total = np.zeros(terms.shape[1:], dtype=self.kind)
        for rate, amounts in zip(self.weights.pair, terms, strict=True):
            if rate:
                total += np.multiply(amounts, self.kind(rate), dtype=self.kind)
        mask = steps.allowed(rows, columns)
        if mask is not None:
            total[~mask] = np.inf
        return total

    def quick(
        self, place: int, rows: Indices, columns: Indices, before: FloatArray, after: FloatArray
    ) -> FloatArray:
        """Floors of `before` + step + `after`, from the terms that are quick to work out."""
        steps = self.layers.pair[place]
        total = np.repeat(before[:, None], len(columns), axis=1)
        edge = after.copy()
        for term, amounts in steps.quick(rows, columns).items():
            rate = self.weights.pair[steps.names.index(term)]
            if not rate:
                continue
            if amounts.shape[0] == 1 < len(rows):
                edge += self.kind(rate) * amounts[0]
            else:
                total += np.multiply(amounts, self.kind(rate), dtype=self.kind)
        total += edge
        return total


def shrink(
    layers: Layers,
    weights: ExactWeights,
    masks: Sequence[BoolArray | None],
    *,
    slack: float = 0.0,
    count: int = 1,
    report: Report | None = None,
) -> Shrunk:
    """Leave out every choice that no path within a bound can use.

    The bound is the cost of the `count`-th path of a beam, raised by `slack` (a share
    of it, or of a cost of 1 where it is less).  Weights of steps must not be negative.
    Raises NoPathError when there is no path.
    """
    node = tuple(np.asarray(weights.single, dtype=np.float64) @ terms for terms in layers.single)
    node = tuple(
        own if mask is None else np.where(mask, own, np.inf)
        for own, mask in zip(node, masks, strict=True)
    )
    costs = _Costs(layers, weights, node, np.float64)
    least = [float(own.min(initial=np.inf)) for own in node]
    # What a step may give back belongs to the layer it leads to.
    for place, pairs in enumerate(layers.pair):
        least[place + 1] += _most_given_back(pairs, weights)
    beam, width = _find_beam(costs, BEAM), BEAM
    if not beam:
        dead_end = find_dead_end(layers.pair, [np.flatnonzero(np.isfinite(own)) for own in node])
        if dead_end is not None:
            raise dead_end
    while not beam:
        width *= 4
        beam = _find_beam(costs, width)
    value = beam[0][0]
    bound = beam[min(count, len(beam)) - 1][0]
    bound += max(abs(bound), weights.scale) * slack
    # Sums up to the bound stay exact in single precision; what is rounded lies far above it.
    kind = arithmetic_for(int(2 * abs(bound)) + 1)
    node = tuple(own.astype(kind) for own in node)
    costs = _Costs(layers, weights, node, kind)
    scale = weights.scale
    watch = _Watch(report, value / scale, beam[0][1], len(layers.pair) * 2)
    if not watch.go_on(sum(least) / scale):
        return _stopped(beam, bound, sum(least), Counts(sum(layers.sizes), 0))
    lowest = [float(own.min(initial=np.inf)) for own in node]
    start = [
        np.flatnonzero(own + sum(least) - low <= bound)
        for own, low in zip(node, lowest, strict=True)
    ]
    # Imported here because only large problems need it, and every command starts this module.
    from concurrent.futures import ThreadPoolExecutor

    # Array operations on large blocks run outside the interpreter's lock, so threads help.
    with ThreadPoolExecutor(min(os.cpu_count() or 1, MOST_THREADS)) as pool:
        reached = _pass_forward(costs, start, bound, least, watch, pool.map)
        if reached is None:
            return _stopped(beam, bound, sum(least), Counts(sum(layers.sizes), 0))
        kept, behind = reached
        floor = float(behind[-1].min(initial=np.inf))
        ahead, steps = _pass_backward(costs, kept, behind, bound, floor, watch, pool.map)
    counts = Counts(sum(layers.sizes), steps)
    if len(ahead) < len(kept):
        return _stopped(beam, bound, floor, counts)
    return Shrunk(tuple(kept), ahead, bound, beam, min(floor, bound), counts, is_complete=True)


def _most_given_back(steps: PairTerms, weights: ExactWeights) -> int:
    """What one of these steps can cost at the least where that is below 0; else 0."""
    floors = steps.floor(*(np.arange(size) for size in steps.shape))
    return sum(min(rate * int(low), 0) for rate, low in zip(weights.pair, floors, strict=True))


@dataclass(slots=True)
class _Watch:
    report: Report | None
    value: float
    choices: tuple[int, ...]
    parts: int
    done: int = 0

    def go_on(self, lower_bound: float) -> bool:
        """Report one more part done, and ask whether to go on."""
        share = min(self.done / max(self.parts, 1), 1.0)
        self.done += 1
        if self.report is None:
            return True
        floor = min(lower_bound, self.value)
        return self.report(Progress(share, self.value, floor, self.choices))


def _find_beam(costs: _Costs, width: int) -> tuple[tuple[float, tuple[int, ...]], ...]:
    """Complete paths from a beam, cheapest first."""
    kept = np.argsort(costs.node[0], kind="stable")[:width]
    spent = costs.node[0][kept]
    kept, spent = kept[np.isfinite(spent)], spent[np.isfinite(spent)]
    trail: list[tuple[Indices, Indices]] = []
    ends = kept
    for place in range(len(costs.node) - 1):
        stop_if_asked()
        everything = np.arange(len(costs.node[place + 1]))
        if not len(ends):
            return ()
        totals = costs.block(place, ends, everything) + spent[:, None]
        came = totals.argmin(axis=0)
        reached = totals[came, everything] + costs.node[place + 1]
        order = np.argsort(reached, kind="stable")[:width]
        order = order[np.isfinite(reached[order])]
        trail.append((ends, came[order]))
        ends, spent = order, reached[order]
    return trace_paths(ends, spent, trail, float)


def _chunks(rows: int, columns: int) -> Iterator[slice]:
    height = max(CHUNK // max(columns, 1), 1)
    for start in range(0, rows, height):
        yield slice(start, start + height)


def _pass_forward(
    costs: _Costs,
    kept: list[Indices],
    bound: float,
    least: list[float],
    watch: _Watch,
    each: Each,
) -> tuple[list[Indices], list[FloatArray]] | None:
    """The quick terms alone, from the start: floors for the way up to every choice."""
    kept = list(kept)
    behind = [costs.node[0][kept[0]]]
    for place in range(len(kept) - 1):
        columns = kept[place + 1]
        arrived = np.full(len(columns), np.inf, dtype=costs.kind)
        arrive = partial(_arrive, costs, place, kept[place], columns, behind[-1])
        for lowest in each(arrive, _chunks(len(kept[place]), len(columns))):
            np.minimum(arrived, lowest, out=arrived)
        arrived += costs.node[place + 1][columns]
        fine = arrived + sum(least[place + 2 :]) <= bound
        kept[place + 1] = columns[fine]
        behind.append(arrived[fine])
        lower = float(arrived.min(initial=np.inf)) + sum(least[place + 2 :])
        if not watch.go_on(lower / costs.weights.scale):
            return None
    return kept, behind


def _arrive(
    costs: _Costs,
    place: int,
    rows: Indices,
    columns: Indices,
    behind: FloatArray,
    part: slice,
) -> FloatArray:
    """The floors of the way to each column through some of the rows."""
    none = np.zeros(len(columns), dtype=costs.kind)
    quick = costs.quick(place, rows[part], columns, behind[part], none)
    lowest: FloatArray = quick.min(axis=0, initial=np.inf)
    return lowest


def _pass_backward(
    costs: _Costs,
    kept: list[Indices],
    behind: list[FloatArray],
    bound: float,
    floor: float,
    watch: _Watch,
    each: Each,
) -> tuple[tuple[FloatArray, ...], int]:
    """All terms, from the end, where the floors leave room; shrinks `kept` in place.

    Returns the exact costs ahead of the choices kept (of fewer layers when it was
    stopped), and the number of steps worked out in full.
    """
    steps = 0
    fine = behind[-1] <= bound
    kept[-1] = kept[-1][fine]
    ahead = costs.node[-1][kept[-1]]
    found = [ahead]
    for place in range(len(kept) - 2, -1, -1):
        rows, columns = kept[place], kept[place + 1]
        onward = np.full(len(rows), np.inf, dtype=costs.kind)
        go_on = partial(_go_on, costs, place, rows, columns, behind[place], ahead, bound)
        for lines, lowest, worked_out in each(go_on, _chunks(len(rows), len(columns))):
            onward[lines] = lowest
            steps += worked_out
        # A cost ahead above the room left is not exact, and its choice is dropped.
        fine = onward + behind[place] <= bound
        kept[place] = rows[fine]
        ahead = onward[fine] + costs.node[place][rows[fine]]
        found.append(ahead)
        if place and not watch.go_on(floor / costs.weights.scale):
            break
    return tuple(reversed(found)), steps


def _go_on(
    costs: _Costs,
    place: int,
    rows: Indices,
    columns: Indices,
    behind: FloatArray,
    ahead: FloatArray,
    bound: float,
    part: slice,
) -> tuple[Indices, FloatArray, int]:
    """Of some rows those with a way on within the bound, what it costs, and the steps it took."""
    open_steps = costs.quick(place, rows[part], columns, behind[part], ahead) <= bound
    wanted = np.flatnonzero(open_steps.any(axis=0))
    lines = part.start + np.flatnonzero(open_steps.any(axis=1))
    if not len(wanted):
        return lines, np.empty(0, dtype=costs.kind), 0
    block = costs.block(place, rows[lines], columns[wanted]) + ahead[wanted]
    lowest: FloatArray = block.min(axis=1)
    return lines, lowest, block.size


def _stopped(
    beam: tuple[tuple[float, tuple[int, ...]], ...], bound: float, floor: float, counts: Counts
) -> Shrunk:
    kept = tuple(np.array([choice]) for choice in beam[0][1])
    return Shrunk(kept, (), bound, beam, min(floor, beam[0][0]), counts, is_complete=False)


@dataclass(frozen=True, slots=True)
class ChosenPairs:
    """The steps of other pair terms between some of their choices only."""

    whole: PairTerms
    rows: Indices
    columns: Indices

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the terms."""
        return self.whole.names

    @property
    def shape(self) -> tuple[int, int]:
        """Number of choices kept in the earlier and in the later layer."""
        return len(self.rows), len(self.columns)

    def block(self, rows: Indices, cols: Indices) -> NDArray[np.integer]:
        """Give the terms of the steps from `rows` to `cols`."""
        return self.whole.block(self.rows[rows], self.columns[cols])

    def quick(self, rows: Indices, cols: Indices) -> dict[str, NDArray[np.integer]]:
        """Give the terms that are quick to work out."""
        return self.whole.quick(self.rows[rows], self.columns[cols])

    def allowed(self, rows: Indices, cols: Indices) -> BoolArray | None:
        """Give which of these steps may be taken."""
        return self.whole.allowed(self.rows[rows], self.columns[cols])

    def floor(self, rows: Indices, cols: Indices) -> NDArray[np.integer]:
        """Give the least value of each term over these steps."""
        return self.whole.floor(self.rows[rows], self.columns[cols])

    def split(self) -> None:
        """Tell nothing by halves: few choices are left."""


def choose_layers(layers: Layers, kept: Sequence[Indices]) -> Layers:
    """The problem with only some choices in each layer."""
    return Layers(
        layers.names,
        tuple(terms[:, own] for terms, own in zip(layers.single, kept, strict=True)),
        tuple(
            ChosenPairs(steps, kept[place], kept[place + 1])
            for place, steps in enumerate(layers.pair)
        ),
    )
