"""A search that takes long: what the desk says meanwhile, and when it is long enough."""

from __future__ import annotations

import time
from collections.abc import Callable

from harmony.search import Progress
from harmony.workbench.words import write_cost

TOLD_AFTER_SECONDS = 1.0
TOLD_EVERY_SECONDS = 0.25
LONGEST_SECONDS = 30.0


class LongSearch:
    """Told of the progress of one search; answers whether it should go on.

    Nothing is said in the first second. After half a minute the search is ended: what
    it has by then is shown, with what the best could still cost.
    """

    def __init__(
        self, say: Callable[[str], object], *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._say, self._clock = say, clock
        self._began = clock()
        self._due = self._began + TOLD_AFTER_SECONDS

    def __call__(self, progress: Progress) -> bool:
        """Say how far it is, where that is due."""
        now = self._clock()
        if now >= self._due:
            self._due = now + TOLD_EVERY_SECONDS
            self._say(tell_progress(progress))
        return now - self._began < LONGEST_SECONDS


def tell_progress(progress: Progress) -> str:
    """Put the progress into a sentence."""
    found, floor = write_cost(progress.value), write_cost(progress.lower_bound)
    return (
        f"Searching, {progress.share:.0%} done: found so far for {found};"
        f" nothing can cost less than {floor}."
    )
