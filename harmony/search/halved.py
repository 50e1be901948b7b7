"""The exact search over large layers whose steps are told by halves.

A beam finds a good path.  Floors from the two tables of halves show what is hopeless,
and one backward pass, looking into a group of steps only where it can matter, gives
the exact cost from every choice on.  The pass goes on in parts: after each the
search may be stopped, and the compiled engine takes over as soon as it is ready.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.search.beam import trace_paths
from harmony.search.bounded import Progress, Report, Shrunk
from harmony.search.compiled import find_engine, is_being_made
from harmony.search.dead_ends import find_dead_end
from harmony.search.layers import BoolArray, Indices, Layers
from harmony.search.onward import Engine, Kind, build_field, find_kind, work_out_plainly
from harmony.search.outcome import Counts, NoPathError, StoppedError
from harmony.search.split import SplitPairs, SplitSteps, Whole, reach_floors
from harmony.search.stopping import stop_if_asked
from harmony.search.weights import ExactWeights, arithmetic_for

BEAM = 24
FIRST_LOOK = 512
"""Choices of a layer whose whole costs are worked out at first to find the best for the beam."""
MOST_THREADS = 4
Beam = tuple[tuple[int, tuple[int, ...]], ...]
FindEngine = Callable[[Kind], Engine | None]


def split_all(layers: Layers) -> tuple[SplitPairs, ...] | None:
    """The pair terms of all layers told by halves, or None where some cannot be."""
    found: dict[int, SplitPairs | None] = {}
    for steps in layers.pair:
        if id(steps) not in found:
            stop_if_asked()
            found[id(steps)] = steps.split()
    splits = [found[id(steps)] for steps in layers.pair]
    return None if None in splits else tuple(own for own in splits if own is not None)


@dataclass(frozen=True, slots=True, eq=False)
class SplitProblem:
    """What is searched: layers with their steps by halves, weights, and what the masks leave.

    `report` is told how far the search is; `find` gives the compiled engine, or None
    while there is none.
    """

    layers: Layers
    splits: Sequence[SplitPairs]
    weights: ExactWeights
    masks: Sequence[BoolArray | None]
    report: Report | None = None
    find: FindEngine = find_engine

    def weigh(self, bar: int = 0) -> tuple[SplitSteps, ...]:
        """The costs of the steps of every layer; one that is barred costs `bar` more."""
        weighed = {id(split): split.weigh(self.weights.pair, bar) for split in self.splits}
        return tuple(weighed[id(split)] for split in self.splits)


@dataclass(slots=True)
class Run:
    """One search: exact whole-number costs, and what is left of each layer.

    `kept[t]` are the choices left in layer t.  `bar` is what a step costs more that
    may not be taken, 0 where all may.  `bar`, `bound` and `lower_bound` are unscaled.
    """

    problem: SplitProblem
    steps: tuple[SplitSteps, ...]
    node: tuple[Whole, ...]
    kept: list[Indices]
    beam: Beam
    bar: int
    bound: int
    lower_bound: int
    kept_at_first: tuple[Indices, ...]
    kind: Kind = "int64"
    passes: int = 1
    done: float = 0.0
    worked_out: int = 0
    is_slow: bool = False

    def go_on(self) -> bool:
        """Tell how far the search is, and ask whether to go on."""
        report, scale = self.problem.report, self.problem.weights.scale
        if report is None:
            return True
        value = self.beam[0][0] / scale
        share = min(self.done / max(self.passes * len(self.steps), 1), 1.0)
        floor = min(self.lower_bound / scale, value)
        return report(Progress(share, value, floor, self.beam[0][1], is_being_made()))

    def pass_over(self, other: list[Whole], *, forward: bool = False) -> list[Whole] | None:
        """The exact cost from every choice left to the end, itself included.

        `other` holds what the way from the start costs at the least up to each choice,
        itself included.  What does not come within the bound is left out, of `other`
        too.  Forward, start and end change places.  None when the search was stopped.
        """
        places = range(len(self.node)) if forward else range(len(self.node) - 1, -1, -1)
        found: dict[int, Whole] = {}
        for number, place in enumerate(places):
            onward = np.zeros(len(self.kept[place]), dtype=np.int64)
            if number:
                self.done = float(round(self.done))
                if not self.go_on():
                    return None
                last = places[number - 1]
                steps = self.steps[last].turned() if forward else self.steps[place]
                worked_out = self.work_out(
                    steps.chosen(self.kept[place], self.kept[last]),
                    found[last],
                    self.bound - other[place],
                )
                if worked_out is None:
                    return None
                onward = worked_out
            whole = onward + other[place]
            # No path is cheaper than the cheapest way through any one layer.
            self.lower_bound = max(self.lower_bound, int(whole.min()))
            fine = whole <= self.bound
            self.kept[place], other[place] = self.kept[place][fine], other[place][fine]
            found[place] = onward[fine] + self.node[place][self.kept[place]]
        return [found[place] for place in sorted(found)]

    def work_out(self, steps: SplitSteps, ahead: Whole, limit: Whole) -> Whole | None:
        """The cheapest way on from every row, or its limit and 1 where none is within it."""
        # Imported here because only large problems need it, and every command starts this.
        from concurrent.futures import ThreadPoolExecutor

        before = self.done
        field, order = build_field(steps, ahead, limit, self.kind)
        arrays = field.arrays()

        def work(part: tuple[int, int]) -> tuple[int, bool]:
            engine = self.problem.find(self.kind)
            return (engine or work_out_plainly)(*part, *arrays), engine is None

        # The engines work outside the interpreter's lock, so threads help.
        with ThreadPoolExecutor(min(os.cpu_count() or 1, MOST_THREADS)) as pool:
            waiting = [(last, pool.submit(work, (first, last))) for first, last in field.parts()]
            for last, part in waiting:
                counted, is_plain = part.result()
                self.worked_out += counted
                self.is_slow |= is_plain
                self.done = before + last / len(order)
                if last < len(order) and not self.go_on():
                    pool.shutdown(wait=True, cancel_futures=True)
                    return None
        least = np.empty_like(limit)
        least[order] = field.least
        return least

    def find_floors(self) -> list[Whole] | None:
        """What the way up to every choice left costs at the least, itself included.

        None when the search was stopped.
        """
        floors = [self.node[0][self.kept[0]]]
        if not self.go_on():
            return None
        for place, steps in enumerate(self.steps):
            if place and not self.go_on():
                return None
            own = steps.chosen(self.kept[place], self.kept[place + 1])
            floors.append(
                reach_floors(own, floors[-1]) + self.node[place + 1][self.kept[place + 1]]
            )
        return floors

    def check_for_path(self, ahead: Sequence[Whole]) -> None:
        """Raise NoPathError where the way on from every first choice takes a barred step."""
        if self.bar and int(ahead[0].min()) >= self.bar:
            fault = find_dead_end(self.problem.splits, self.kept_at_first)
            raise fault or RuntimeError("there is a path")

    def stop(self) -> Shrunk:
        """What is known when the search is stopped: the best of the beam, and the bound."""
        kept = tuple(np.array([choice]) for choice in self.beam[0][1])
        lower_bound = float(min(self.lower_bound, self.beam[0][0]))
        counts = Counts(sum(map(len, self.node)), self.worked_out)
        return Shrunk(
            kept, (), float(self.bound), self.beam, lower_bound, counts,
            is_complete=False, is_slow=self.is_slow,
        )  # fmt: skip


def shrink_split(problem: SplitProblem, *, bound: int | None = None) -> Shrunk:
    """Leave out every choice that no path within a bound can use.

    Without a `bound` (an unscaled cost) that of a beam's best path is taken: the
    cheapest path is then left, and little more than can be helped.  With one, exactly
    the choices on paths within it are left.  Raises NoPathError when a layer has no
    choice, or no way leads through all of them.
    """
    run = _begin(problem)
    run.bound = run.beam[0][0] if bound is None else bound
    run.passes = 1 if bound is None else 2
    run.kind = find_kind(run.steps, run.bound)
    floors = run.find_floors()
    ahead = None if floors is None else run.pass_over(floors)
    if ahead is None or (run.passes > 1 and run.pass_over(ahead, forward=True) is None):
        return run.stop()
    run.check_for_path(ahead)
    counts = Counts(sum(problem.layers.sizes), run.worked_out)
    return Shrunk(
        tuple(run.kept), tuple(own.astype(np.float64) for own in ahead), float(run.bound),
        run.beam, float(ahead[0].min()), counts,
        is_complete=True, is_slow=run.is_slow,
    )  # fmt: skip


def price_split(problem: SplitProblem) -> tuple[NDArray[np.float64], ...]:
    """The exact price of every choice; infinity for those the masks bar.

    Raises StoppedError where the report stops it.
    """
    run, ahead, behind = begin_exact(problem)
    prices = []
    for own, kept, start, end in zip(run.node, run.kept, behind, ahead, strict=True):
        whole = np.full(len(own), np.inf)
        total = start + end - own[kept]
        barred = (total >= run.bar) if run.bar else np.zeros(len(total), dtype=bool)
        whole[kept] = np.where(barred, np.inf, total / problem.weights.scale)
        prices.append(whole)
    return tuple(prices)


def begin_exact(
    problem: SplitProblem, *, more_passes: int = 0
) -> tuple[Run, list[Whole], list[Whole]]:
    """A search with what every choice costs to the end and from the start, itself included.

    `more_passes` over all layers are to follow, for those who are told how far it is.
    """
    run = _begin(problem)
    run.bound = _find_dearest(run.steps, run.node)
    run.kind = find_kind(run.steps, run.bound)
    run.passes = 2 + more_passes
    floors = run.find_floors()
    ahead = None if floors is None else run.pass_over(floors)
    behind = None if ahead is None else run.pass_over(ahead, forward=True)
    if ahead is None or behind is None:
        raise StoppedError
    run.check_for_path(ahead)
    return run, ahead, behind


def _begin(problem: SplitProblem) -> Run:
    """Costs, the choices the masks leave, and the beam."""
    rates = np.asarray(problem.weights.single, dtype=np.int64)
    node = tuple(np.tensordot(rates, own.astype(np.int64), axes=1) for own in problem.layers.single)
    kept = [
        np.arange(len(own)) if mask is None else np.flatnonzero(mask)
        for own, mask in zip(node, problem.masks, strict=True)
    ]
    for place, keep in enumerate(kept):
        if not len(keep):
            raise NoPathError(place, is_step=False)
    steps = problem.weigh()
    # What does not add up exactly in double precision would not be told exactly either.
    arithmetic_for(_find_dearest(steps, node))
    bar = 0
    if any(split.bars is not None for split in problem.splits):
        # A path with a step that may not be taken is dearer than any without.
        bar = 2 * _find_dearest(steps, node) + 1
        steps = problem.weigh(bar)
        arithmetic_for(_find_dearest(steps, node))
    beam = _find_beam(steps, node, kept)
    least = sum(int(own[keep].min()) for own, keep in zip(node, kept, strict=True))
    return Run(
        problem, steps, node, kept, beam, bar, beam[0][0], min(least, beam[0][0]), tuple(kept)
    )


def _find_dearest(steps: Sequence[SplitSteps], node: Sequence[Whole]) -> int:
    """A number that no path costs more than."""
    return sum(int(np.abs(own).max()) for own in node) + sum(own.highest() for own in steps)


def _find_beam(steps: Sequence[SplitSteps], node: Sequence[Whole], kept: Sequence[Indices]) -> Beam:
    """Complete paths from a beam, cheapest first."""
    ends = kept[0][np.argsort(node[0][kept[0]], kind="stable")[:BEAM]]
    spent = node[0][ends]
    trail: list[tuple[Indices, Indices]] = []
    before = ends
    for place, own in enumerate(steps):
        stop_if_asked()
        came, ends, spent = _grow_beam(own, ends, spent, kept[place + 1], node[place + 1])
        trail.append((before, came))
        before = ends
    return trace_paths(ends, spent, trail, int)


def _grow_beam(
    steps: SplitSteps, ends: Indices, spent: Whole, columns: Indices, node: Whole
) -> tuple[Indices, Indices, Whole]:
    """The cheapest ways one layer on: which end each came from, where it ends, its cost."""
    floors = steps.floors(ends, columns) + spent[:, None]
    least = floors.min(axis=0) + node[columns]
    order = np.argsort(least, kind="stable")
    count = FIRST_LOOK
    while True:
        # Whole costs of what may be among the best; the floors of all others lie above.
        some = np.sort(order[:count])
        totals = steps.costs(ends, columns[some]) + spent[:, None]
        came = totals.argmin(axis=0)
        reached = totals[came, np.arange(len(some))] + node[columns[some]]
        best = np.argsort(reached, kind="stable")[:BEAM]
        if count >= len(order) or least[order[count]] > reached[best[-1]]:
            return came[best], columns[some[best]], reached[best]
        count *= 4
