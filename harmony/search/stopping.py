"""A way out of long work that has nothing to show yet: lists and tables in the making.

A search that has a good path tells its progress to a report and may be stopped there
with what it has.  Before that, or beside it, whoever waits says by `stoppable` when it
is over, and the work asks by `stop_if_asked` wherever it can be left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from harmony.search.outcome import StoppedError

# Of the thread that waits: a list in the making is asked for by many who know of no search.
_asked: ContextVar[Callable[[], bool] | None] = ContextVar("asked", default=None)


@contextmanager
def stoppable(is_over: Callable[[], bool]) -> Iterator[None]:
    """Let the work inside be left, by StoppedError, as soon as `is_over` says so."""
    token = _asked.set(is_over)
    try:
        yield
    finally:
        _asked.reset(token)


def stop_if_asked() -> None:
    """Leave the work at hand where whoever waits for it has asked to stop.

    Raises StoppedError.
    """
    is_over = _asked.get()
    if is_over is not None and is_over():
        raise StoppedError
