"""Something to be done a moment later, unless something else comes first."""

from __future__ import annotations

import asyncio
from collections.abc import Callable


class Later:
    """At most one step waits; another takes its place."""

    def __init__(self) -> None:
        self._waiting: asyncio.TimerHandle | None = None

    def after(self, seconds: float, step: Callable[[], object]) -> None:
        """Do a step after some seconds; at once where no loop runs that could wait."""
        self.cancel()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            step()
            return
        self._waiting = loop.call_later(seconds, step)

    def cancel(self) -> None:
        """Leave undone what waits."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None
