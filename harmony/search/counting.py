"""How many paths there are, exactly."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from harmony.search.layers import BoolArray
from harmony.search.packing import Weighed

LIMB_BITS = 30
"""Counts are kept in limbs of so many bits: sums of 2**23 of them are exact in a float64."""
MOST_CHOICES = 2**23


def count_paths(weighed: Weighed) -> int:
    """The number of paths that take only what may be taken, as an exact whole number."""
    last = len(weighed.node) - 1
    steps = (
        np.isfinite(weighed.pair_costs(place)) & np.isfinite(weighed.node[place])[:, None]
        for place in range(last - 1, -1, -1)
    )
    return _count(np.isfinite(weighed.node[last]), steps)


def count_chains(steps: Iterable[BoolArray]) -> int:
    """The number of ways through layers, given which steps from each to the next are open.

    Each table of steps has a row for every choice of one layer and a column for every
    choice of the next; every choice may be taken.
    """
    tables = [*steps]
    if not tables:
        raise ValueError("there is at least one table of steps")
    return _count(np.ones(tables[-1].shape[1], dtype=bool), reversed(tables))


def _count(last: BoolArray, backward: Iterable[BoolArray]) -> int:
    """Add up the ways on from each choice, the last layer first.

    A count of any size is a row of limbs, so that one matrix product adds all of them.
    """
    limbs: NDArray[np.float64] = last.astype(np.float64)[:, None]
    for open_steps in backward:
        if open_steps.shape[1] > MOST_CHOICES:
            raise ValueError(f"at most {MOST_CHOICES} choices in a layer can be counted")
        limbs = _carry(open_steps.astype(np.float64) @ limbs)
    return sum(int(total) << LIMB_BITS * place for place, total in enumerate(limbs.sum(axis=0)))


def _carry(limbs: NDArray[np.float64]) -> NDArray[np.float64]:
    """Bring every limb below its base again, in place; a new limb where the last overflows."""
    base = float(2**LIMB_BITS)
    for place in range(limbs.shape[1]):
        over = np.floor(limbs[:, place] / base)
        if not over.any():
            continue
        limbs[:, place] -= over * base
        if place + 1 < limbs.shape[1]:
            limbs[:, place + 1] += over
        else:
            limbs = np.concatenate([limbs, over[:, None]], axis=1)
    return limbs
