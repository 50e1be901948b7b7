"""How long an action takes: the median of a few runs."""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

RUNS = 5


def timed(action: Callable[[], object], *, runs: int = RUNS) -> float:
    """Give the seconds an action takes, warm."""
    action()
    seconds = []
    for _ in range(runs):
        start = time.perf_counter()
        action()
        seconds.append(time.perf_counter() - start)
    return median(seconds)
