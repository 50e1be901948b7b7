"""Closing the server when the terminal or the system asks for it."""

from __future__ import annotations

import signal
from collections.abc import Callable
from typing import Any

_CLOSING = (signal.SIGINT, signal.SIGTERM)


class Closing:
    """Lets Ctrl-C and a request to end stop a server, and its kernels with it.

    Jupyter's own handlers ask a question on Ctrl-C, and without a terminal leave
    kernels behind. ``is_asked`` is true once one of the two has come.
    """

    def __init__(self, server: Any) -> None:
        self._server = server
        self.is_asked = False

    def listen(self) -> None:
        """Take the two signals, and let nobody on the server's loop take them away.

        Whoever runs a notebook there would: it gives them back to Python in the end, and
        an interrupt would then hit upon any line, or be lost, or leave kernels behind.
        """
        for one in _CLOSING:
            signal.signal(one, self._stop)
        loop = self._server.io_loop.asyncio_loop
        loop.add_signal_handler = _keep_closing(loop.add_signal_handler)

    def _stop(self, _signal: int, _frame: object) -> None:
        self.is_asked = True
        self._server.stop(from_signal=True)


def _keep_closing(add: Callable[..., None]) -> Callable[..., None]:
    """A loop's way to take a signal that refuses, as loops do, those that close the server."""

    def add_signal_handler(one: int, callback: Callable[..., object], *given: object) -> None:
        if one in _CLOSING:
            raise RuntimeError("this signal closes the server")
        add(one, callback, *given)

    return add_signal_handler
