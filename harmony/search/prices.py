"""The price of every choice: the cost of the cheapest path that goes through it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from harmony.search.best import costs_from_start, costs_to_go
from harmony.search.packing import Weighed


def choice_prices(weighed: Weighed) -> tuple[NDArray[np.float64], ...]:
    """For each layer an array (n,): the exact cost of the best path through each choice.

    Infinity where no path goes through.  The least entry of every layer is the cost
    of the best path; what a choice costs more than that is what insisting on it costs.
    """
    behind, ahead = costs_from_start(weighed), costs_to_go(weighed)
    prices = []
    for start, end, own in zip(behind, ahead, weighed.node, strict=True):
        # Both passes count the choice itself; a barred one would give infinity less infinity.
        once = np.where(np.isfinite(own), own, 0)
        prices.append((start.astype(np.float64) + end - once) / weighed.scale)
    return tuple(prices)


def eased_values(weighed: Weighed, eased: Weighed) -> NDArray[np.float64]:
    """For each layer the cost of the best path when that layer alone is charged as in `eased`.

    The layer's choices and the steps that reach them are taken from `eased`, all
    else from `weighed`; both must come from the same packed layers.
    """
    behind, ahead = costs_from_start(weighed), costs_to_go(weighed)
    values = []
    for place, own in enumerate(weighed.node):
        usable = np.isfinite(own)
        onward = np.where(
            usable, ahead[place].astype(np.float64) - np.where(usable, own, 0), np.inf
        )
        onward = onward / weighed.scale + eased.node[place].astype(np.float64) / eased.scale
        if place:
            steps = eased.pair_costs(place - 1).astype(np.float64) / eased.scale
            arrive = steps + behind[place - 1][:, None].astype(np.float64) / weighed.scale
            onward = onward + arrive.min(axis=0, initial=np.inf)
        values.append(float(onward.min(initial=np.inf)))
    return np.array(values)
