"""Where a large problem that no path leads through first fails."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from harmony.search.layers import Indices, PairTerms
from harmony.search.outcome import NoPathError

ROWS_AT_ONCE = 64


def find_dead_end(pairs: Sequence[PairTerms], kept: Sequence[Indices]) -> NoPathError | None:
    """Where a problem without a path first fails, going forward; None where one leads through."""
    for place, own in enumerate(kept):
        if not len(own):
            return NoPathError(place, is_step=False)
    reached = kept[0]
    for place, steps in enumerate(pairs):
        following = kept[place + 1]
        is_open = np.zeros(len(following), dtype=bool)
        for start in range(0, len(reached), ROWS_AT_ONCE):
            left = np.flatnonzero(~is_open)
            free = steps.allowed(reached[start : start + ROWS_AT_ONCE], following[left])
            is_open[left] = True if free is None else free.any(axis=0)
            if is_open.all():
                break
        if not is_open.any():
            return NoPathError(place + 1, is_step=True, reached=tuple(reached.tolist()))
        reached = following[is_open]
    return None
