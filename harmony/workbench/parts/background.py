"""A search that takes longer than a moment: beside the desk, with its progress and a way out."""

from __future__ import annotations

import asyncio
import logging
import threading
import time
from collections.abc import Callable
from functools import partial
from typing import Any, Protocol

from harmony.errors import HarmonyError
from harmony.workbench.parts.controls import Actions, Message
from harmony.workbench.parts.guard import Guard, Reporter
from harmony.workbench.parts.layout import button, row

TOLD_EVERY_SECONDS = 0.1


class Watch(Protocol):
    """What a search tells its progress to; it is called in the search's own thread."""

    def __call__(self, progress: Any, /) -> bool:
        """Tell how far the search is; True asks it to stop."""

    def hand_over(self, then: Callable[[Any], object], value: Any) -> None:
        """Give the desk what there is so far, while the search goes on.

        What ``then`` raises is told where the search's own faults are.
        """


class LongSearch:
    """Runs one search at a time in a thread of its own; ``box`` shows how far it is.

    ``words`` puts what the search tells into a sentence. ``box`` is shown once a search
    has taken ``patience_seconds``, and has a button with the words of ``stop``. Without a
    running event loop (a test, a script) the search runs at once.
    """

    def __init__(
        self,
        words: Callable[[Any], str],
        *,
        begins: str = "",
        stop: str = "Cancel",
        patience_seconds: float = 0.0,
    ) -> None:
        self.message = Message()
        self.cancel = Actions(items=[button("cancel", stop)])
        self.box = row(self.message, self.cancel, name="hw-line")
        self.box.layout.display = "none"
        self._words, self._begins = words, begins
        self._patience_seconds = patience_seconds
        self._turn = threading.Lock()  # of the machine: one search at a time
        self._running: _Beside | None = None
        self.cancel.on_press(lambda _name: self._stop())

    @property
    def is_running(self) -> bool:
        """Tell whether a search is on whose answer is still awaited."""
        return self._running is not None

    def run(
        self,
        find: Callable[[Watch], Any],
        done: Callable[[Any], object],
        report: Reporter,
    ) -> None:
        """Find something, then hand it to ``done``; what either raises goes to ``report``.

        An earlier search that still runs is given up: nothing of it is shown any more.
        """
        self.give_up()
        guard = Guard(report)
        take = guard(done)
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            take(find(_AtOnce(guard)))
            return
        beside = self._running = _Beside(self, loop, guard)
        self.message.say(self._begins)
        if self._patience_seconds:
            loop.call_later(self._patience_seconds, self._uncover, beside)
        else:
            self._uncover(beside)

        def work() -> None:
            with self._turn:
                if beside is not self._running:
                    return  # another has taken its place before its turn came
                try:
                    ending = partial(take, find(beside))
                except HarmonyError as fault:
                    ending = partial(report, fault, unforeseen=False)
                except Exception as fault:
                    logging.getLogger("harmony.workbench").exception("a search failed")
                    ending = partial(report, fault, unforeseen=True)
                beside.call(self._end, beside, ending)

        threading.Thread(target=work, daemon=True).start()

    def give_up(self) -> None:
        """End a search that runs; whatever it still finds is dropped."""
        if self._running is not None:
            self._running.is_over = True
            self._drop(self._running)

    def _stop(self) -> None:
        if self._running is not None:
            self._running.is_over = True

    def _uncover(self, beside: _Beside) -> None:
        if beside is self._running:
            self.box.layout.display = None

    def tell(self, beside: _Beside, progress: Any) -> None:
        """Say how far a search is, unless another has taken its place."""
        if beside is self._running:
            self.message.say(self._words(progress))

    def show(self, beside: _Beside, then: Callable[[Any], object], value: Any) -> None:
        """Show what a search has so far, unless another has taken its place."""
        if beside is self._running:
            then(value)

    def _drop(self, beside: _Beside) -> None:
        if beside is self._running:
            self._running = None
            self.box.layout.display = "none"

    def _end(self, beside: _Beside, ending: Callable[[], object]) -> None:
        if beside is self._running:
            self._drop(beside)
            ending()


class _Beside:
    """The watch of one search in its thread."""

    def __init__(self, owner: LongSearch, loop: asyncio.AbstractEventLoop, guard: Guard) -> None:
        self._owner, self._loop, self._guard = owner, loop, guard
        self._due = 0.0
        self.is_over = False  # read in the thread, written on the desk's side

    def __call__(self, progress: Any) -> bool:
        now = time.monotonic()
        if now >= self._due:
            self._due = now + TOLD_EVERY_SECONDS
            self.call(self._owner.tell, self, progress)
        return self.is_over

    def hand_over(self, then: Callable[[Any], object], value: Any) -> None:
        self.call(self._owner.show, self, self._guard(then), value)

    def call(self, function: Callable[..., object], *arguments: Any) -> None:
        """Do something on the desk's side, if that is still there."""
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(function, *arguments)


class _AtOnce:
    """The watch of a search that nobody waits beside."""

    def __init__(self, guard: Guard) -> None:
        self._guard = guard

    def __call__(self, _progress: Any) -> bool:
        return False

    def hand_over(self, then: Callable[[Any], object], value: Any) -> None:
        self._guard(then)(value)
