"""A search that takes longer than a second: beside the desk, with its progress and Cancel."""

from __future__ import annotations

import asyncio
import logging
import threading
from collections.abc import Callable
from typing import Any

from harmony.errors import HarmonyError
from harmony.workbench.parts.controls import Actions, Message
from harmony.workbench.parts.layout import button, row

Watch = Callable[[float], bool]


class LongSearch:
    """Runs one search at a time in a thread of its own; ``box`` shows how far it is.

    Without a running event loop (a test, a script) the search runs at once.
    """

    def __init__(self) -> None:
        self.message = Message()
        self.cancel = Actions(items=[button("cancel", "Cancel")])
        self.box = row(self.message, self.cancel, name="hw-line")
        self.box.layout.display = "none"
        self._cancelled = threading.Event()
        self.cancel.on_press(lambda _name: self._cancelled.set())

    def run(
        self,
        find: Callable[[Watch], Any],
        done: Callable[[Any], object],
        failed: Callable[[Exception], object],
    ) -> None:
        """Find something, then hand it to ``done``, or what was raised to ``failed``.

        ``find`` is given what it has to tell its progress to, 0 to 1, and to ask
        whether to stop. An earlier search that still runs is cancelled.
        """
        self._cancelled.set()
        cancelled = self._cancelled = threading.Event()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            done(find(lambda _share: False))
            return

        def watch(share: float) -> bool:
            loop.call_soon_threadsafe(self._tell, share, cancelled)
            return cancelled.is_set()

        def work() -> None:
            try:
                found = find(watch)
            except HarmonyError as fault:
                loop.call_soon_threadsafe(self._end, cancelled, failed, fault)
            except Exception as fault:
                logging.getLogger("harmony.workbench").exception("a search failed")
                loop.call_soon_threadsafe(self._end, cancelled, failed, fault)
            else:
                loop.call_soon_threadsafe(self._end, cancelled, done, found)

        self.box.layout.display = None
        self._tell(0.0, cancelled)
        threading.Thread(target=work, daemon=True).start()

    def _tell(self, share: float, cancelled: threading.Event) -> None:
        if cancelled is self._cancelled:
            self.message.say(f"Looking for canons: {round(100 * share)} % looked at.")

    def _end(
        self, cancelled: threading.Event, then: Callable[[Any], object], value: object
    ) -> None:
        if cancelled is self._cancelled:  # or another search has taken its place
            self.box.layout.display = "none"
            then(value)
