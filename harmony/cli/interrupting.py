"""Ctrl-C in a long search: the first ends it with what it has, a second ends the command."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from harmony.search import Progress, Report, stoppable


@contextmanager
def stop_on_interrupt() -> Iterator[Report]:
    """Give a report that asks a search to stop once Ctrl-C was pressed.

    Before the search has told anything, Ctrl-C ends the command as ever: there is nothing
    to show yet.
    """
    is_on, is_stopped = False, False

    def go_on(_progress: Progress) -> bool:
        nonlocal is_on
        is_on = True
        return not is_stopped

    if threading.current_thread() is not threading.main_thread():
        yield go_on
        return
    usual = signal.getsignal(signal.SIGINT)

    def interrupt(number: int, frame: FrameType | None) -> None:
        nonlocal is_stopped
        if not is_on or is_stopped:
            signal.signal(signal.SIGINT, usual)
            signal.default_int_handler(number, frame)
        is_stopped = True

    signal.signal(signal.SIGINT, interrupt)
    try:
        # Tables made once something is found, for further voicings, are left at once too.
        with stoppable(lambda: is_stopped):
            yield go_on
    finally:
        signal.signal(signal.SIGINT, usual)
