"""A limit of time on what a test tries, by the alarm clock of the process."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Iterator
from types import FrameType


class TooSlow(BaseException):
    """Raised by the alarm; no handler of ordinary exceptions swallows it."""


@contextlib.contextmanager
def limit(seconds: float) -> Iterator[None]:
    """Raise TooSlow in what runs inside once it has taken so long."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise TooSlow

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
