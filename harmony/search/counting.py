"""How many paths there are, exactly."""

from __future__ import annotations

from itertools import compress

import numpy as np

from harmony.search.packing import Weighed

LARGEST = 2**62


def count_paths(weighed: Weighed) -> int:
    """The number of paths that take only what may be taken, as an exact whole number.

    Counts that might outgrow 63 bits go on as whole numbers of any size.
    """
    counts = np.isfinite(weighed.node[-1]).astype(np.int64)
    for place in range(len(weighed.node) - 2, -1, -1):
        open_steps = np.isfinite(weighed.pair_costs(place))
        here = np.isfinite(weighed.node[place])
        if counts.dtype != object and counts.max(initial=0) * max(len(counts), 1) >= LARGEST:
            counts = counts.astype(object)
        if counts.dtype == object:
            whole = counts.tolist()
            rows = (sum(compress(whole, row)) for row in open_steps.tolist())
            counts = np.array([*rows], dtype=object) * here
        else:
            counts = (open_steps @ counts) * here
    return int(sum(counts.tolist()))
