"""Every path, one after another: slow, obvious, and the measure of the other searches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from harmony.search.layers import Layers
from harmony.search.outcome import PathCost


def enumerate_paths(
    layers: Layers, single: Sequence[float], pair: Sequence[float]
) -> Iterator[PathCost]:
    """Yield every allowed path with its cost, in rising order of choice numbers.

    The costs are summed term by term in plain Python from the unpacked terms, so
    that nothing is shared with the searches checked against it.  Their number is
    the product of the layers' sizes.
    """
    blocks: list[tuple[NDArray[np.integer], NDArray[np.bool_] | None]] = []
    for steps in layers.pair:
        rows, cols = (np.arange(n) for n in steps.shape)
        blocks.append((steps.block(rows, cols), steps.allowed(rows, cols)))
    for path in product(*(range(n) for n in layers.sizes)):
        hops = list(pairwise(path))
        if any(
            mask is not None and not mask[a, b]
            for (a, b), (_, mask) in zip(hops, blocks, strict=True)
        ):
            continue
        value = 0.0
        for choice, terms in zip(path, layers.single, strict=True):
            value += sum(weight * int(terms[t, choice]) for t, weight in enumerate(single))
        for (a, b), (terms, _) in zip(hops, blocks, strict=True):
            value += sum(weight * int(terms[t, a, b]) for t, weight in enumerate(pair))
        yield PathCost(path, value)
