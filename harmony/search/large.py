"""Searches over layers too large for a table of all steps."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from harmony.search.bounded import Report, Shrunk, choose_layers, shrink
from harmony.search.compiled import find_engine, is_installed
from harmony.search.eased import eased_split
from harmony.search.halved import FindEngine, SplitProblem, price_split, shrink_split, split_all
from harmony.search.layers import BoolArray, Indices, Layers
from harmony.search.outcome import Outcome, PathCost, StoppedError
from harmony.search.packing import Weighed, pack
from harmony.search.prices import choice_prices, eased_values
from harmony.search.weights import ExactWeights, scale_weights

Weights = NDArray[np.float64]
FIRST_SLACK = 0.02
NARROWEST = 0.005
MOST_STEPS = 2**25
"""What a bound leaves must not have more steps than this."""


def best_path_large(
    layers: Layers,
    single: Weights,
    pair: Weights,
    masks: Sequence[BoolArray | None],
    report: Report | None = None,
    *,
    find: FindEngine = find_engine,
) -> Outcome:
    """The cheapest path, proven, unless `report` answers that enough is enough.

    A stopped search returns the best path it had found, with status "stopped" and
    the bound it had reached.  Weights of steps must not be negative.  Raises
    NoPathError when no path is found.  Where the steps can be told by halves, `find`
    gives the compiled engine, or None while there is none.
    """
    weights = scale_weights(single, pair)
    splits = split_all(layers)
    if splits is None:
        shrunk = shrink(layers, weights, masks, report=report)
    else:
        shrunk = shrink_split(SplitProblem(layers, splits, weights, masks, report, find))
    if not shrunk.is_complete:
        return _stopped_outcome(shrunk, weights)
    ahead = shrunk.ahead
    number = int(ahead[0].argmin())
    value = float(ahead[0][number]) / weights.scale
    path = [int(shrunk.kept[0][number])]
    for place, columns in enumerate(shrunk.kept[1:]):
        costs = _step_costs(layers, weights, place, path[-1], columns) + ahead[place + 1]
        path.append(int(columns[costs.argmin()]))
    return Outcome(
        (PathCost(tuple(path), value),), value, value, "optimal", shrunk.counts,
        is_slow=_is_slow(shrunk),
    )  # fmt: skip


def _is_slow(shrunk: Shrunk) -> bool:
    """The extra would have helped, and is not there."""
    return shrunk.is_slow and not is_installed()


def _step_costs(
    layers: Layers, weights: ExactWeights, place: int, here: int, columns: Indices
) -> Weights:
    """Costs of the steps from one choice, shape (len(columns),)."""
    steps, row = layers.pair[place], np.array([here])
    rates = np.asarray(weights.pair, dtype=np.float64)
    costs: Weights = np.tensordot(rates, steps.block(row, columns)[:, 0], axes=1)
    mask = steps.allowed(row, columns)
    return costs if mask is None else np.where(mask[0], costs, np.inf)


def search_within(
    layers: Layers,
    single: Weights,
    pair: Weights,
    masks: Sequence[BoolArray | None],
    search: Callable[[Weighed, tuple[Indices, ...]], Outcome],
    *,
    count: int,
    report: Report | None = None,
) -> Outcome:
    """Any search, over what stands within a bound, widened until its answer does.

    `search` is given the costs of the small problem and, layer by layer, the choices
    it kept of the large one.  Its answer is exact as soon as its dearest path costs
    no more than the bound, since every path within the bound is in the small problem.
    When the small problem outgrows what can be tabled, the best single path is
    returned instead with status "stopped".
    """
    weights = scale_weights(single, pair)
    splits = split_all(layers)
    everything = sum(
        size if mask is None else int(mask.sum())
        for size, mask in zip(layers.sizes, masks, strict=True)
    )

    def search_left(shrunk: Shrunk) -> Outcome | None:
        """Search what is left, if that can be tabled and nobody asks to stop."""
        small = choose_layers(layers, shrunk.kept)
        if _count_steps(small) > MOST_STEPS:
            return None
        try:
            return _in_large(search(pack(small).weigh(single, pair), shrunk.kept), shrunk)
        except StoppedError:
            return None

    if splits is not None:
        best = best_path_large(layers, single, pair, masks, report)
        if best.status == "stopped":
            return best
        within = partial(shrink_split, SplitProblem(layers, splits, weights, masks, report))
        return _search_above(best, weights, within, search_left, count, everything)
    slack = 0.0
    while True:
        shrunk = shrink(layers, weights, masks, slack=slack, count=count, report=report)
        found = search_left(shrunk) if shrunk.is_complete else None
        if found is None:
            return _stopped_outcome(shrunk, weights)
        is_enough = len(found.paths) >= count
        is_enough &= found.paths[-1].value <= shrunk.bound / weights.scale
        if is_enough or sum(map(len, shrunk.kept)) == everything:
            return found
        slack = slack * 2 + FIRST_SLACK


def _search_above(
    best: Outcome,
    weights: ExactWeights,
    within: Callable[..., Shrunk],
    search_left: Callable[[Shrunk], Outcome | None],
    count: int,
    everything: int,
) -> Outcome:
    """Any search over what stands little above the best, known by now, and ever more."""
    value = round(best.value * weights.scale)
    room = max(round(abs(value) * NARROWEST), weights.scale, 1)
    paths = best.paths
    with contextlib.suppress(StoppedError):
        while (shrunk := within(bound=value + room)).is_complete:
            found = search_left(shrunk)
            if found is None:
                break
            dearest = found.paths[-1].value * weights.scale
            is_enough = len(found.paths) >= count and dearest <= value + room
            if is_enough or sum(map(len, shrunk.kept)) == everything:
                return found  # or there are no more
            paths = found.paths
            room *= 2
    # What was found within the last bound is exact as far as it goes, but may not be all.
    return replace(best, paths=paths, status="stopped")


def _count_steps(layers: Layers) -> int:
    return sum(n * m for n, m in pairwise(layers.sizes))


def price_within(
    layers: Layers,
    single: Weights,
    pair: Weights,
    masks: Sequence[BoolArray | None],
    share: float,
    report: Report | None = None,
) -> tuple[Weights, ...]:
    """The exact price of every choice; infinity where the masks leave no path through it.

    Where steps cannot be told by halves, only of choices that make the best path dearer
    by at most `share`, or what of that can be tabled: infinity for all others.  Raises
    StoppedError where `report` stops it.
    """
    weights = scale_weights(single, pair)
    splits = split_all(layers)
    if splits is not None:
        return price_split(SplitProblem(layers, splits, weights, masks, report))
    shrunk, small = _shrink_to_table(layers, weights, masks, share, report)
    prices = []
    found = choice_prices(pack(small).weigh(single, pair))
    for size, kept, own in zip(layers.sizes, shrunk.kept, found, strict=True):
        whole = np.full(size, np.inf)
        # Above the bound a price is only known to be above it.
        whole[kept] = np.where(own <= shrunk.bound / weights.scale, own, np.inf)
        prices.append(whole)
    return tuple(prices)


def eased_within(
    layers: Layers,
    single: Weights,
    pair: Weights,
    masks: Sequence[BoolArray | None],
    share: float,
    report: Report | None = None,
) -> tuple[Weights, bool]:
    """The least cost with one term not charged at one layer and on the way to it.

    Shape (terms, layers); and whether that is exact.  Where steps cannot be told by
    halves, only paths are looked at that are dearer than the best by at most `share`, so
    that another may cost less still.  Raises StoppedError where `report` stops it.
    """
    weights = scale_weights(single, pair)
    splits = split_all(layers)
    if splits is not None:
        return eased_split(SplitProblem(layers, splits, weights, masks, report)), True
    _, small = _shrink_to_table(layers, weights, masks, share, report)
    packed = pack(small)
    weighed = packed.weigh(single, pair)
    values = []
    for term in range(len(layers.names)):
        rates, pair_rates = single.copy(), pair.copy()
        rates[term] = pair_rates[term : term + 1] = 0
        values.append(eased_values(weighed, packed.weigh(rates, pair_rates)))
    return np.array(values), False


def _shrink_to_table(
    layers: Layers,
    weights: ExactWeights,
    masks: Sequence[BoolArray | None],
    slack: float,
    report: Report | None,
) -> tuple[Shrunk, Layers]:
    """What stands within a bound that is narrowed until its steps can be tabled.

    Raises StoppedError where `report` stops it.
    """
    while True:
        shrunk = shrink(layers, weights, masks, slack=slack, report=report)
        if not shrunk.is_complete:
            raise StoppedError
        small = choose_layers(layers, shrunk.kept)
        if _count_steps(small) <= MOST_STEPS or slack < NARROWEST:
            return shrunk, small
        slack /= 2


def _in_large(found: Outcome, shrunk: Shrunk) -> Outcome:
    paths = tuple(
        PathCost(
            tuple(int(kept[c]) for kept, c in zip(shrunk.kept, path.choices, strict=True)),
            path.value,
        )
        for path in found.paths
    )
    return Outcome(
        paths, found.value, found.lower_bound, found.status, shrunk.counts,
        is_slow=_is_slow(shrunk),
    )  # fmt: skip


def _stopped_outcome(shrunk: Shrunk, weights: ExactWeights) -> Outcome:
    cost, path = shrunk.beam[0]
    value = cost / weights.scale
    bound = min(shrunk.lower_bound / weights.scale, value)
    return Outcome(
        (PathCost(path, value),), value, bound, "stopped", shrunk.counts,
        is_slow=_is_slow(shrunk),
    )  # fmt: skip
