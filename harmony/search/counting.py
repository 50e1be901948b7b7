"""How many paths there are, exactly."""

from __future__ import annotations

import numpy as np

from harmony.search.packing import Weighed


def count_paths(weighed: Weighed) -> int:
    """The number of paths that take only what may be taken, as an exact whole number.

    Counts are added in whole numbers of any size, so that nothing overflows.
    """
    counts = np.where(np.isfinite(weighed.node[-1]), 1, 0).astype(object)
    for place in range(len(weighed.node) - 2, -1, -1):
        open_steps = np.isfinite(weighed.pair_costs(place))
        here = np.isfinite(weighed.node[place])
        # Object arithmetic is slow, so it is kept to one sum over each open row.
        counts = np.array(
            [
                sum(counts[row].tolist()) if is_open else 0
                for row, is_open in zip(open_steps, here, strict=True)
            ],
            dtype=object,
        )
    return int(sum(counts.tolist()))
