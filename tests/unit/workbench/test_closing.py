"""Who closes the server: Ctrl-C and a request to end, whatever else runs on its loop."""

from __future__ import annotations

import asyncio
import os
import signal
from types import SimpleNamespace

import pytest

from harmony.workbench.lab.signals import Closing

CLOSING = (signal.SIGINT, signal.SIGTERM)


@pytest.fixture
def loop():
    before = {one: signal.getsignal(one) for one in CLOSING}
    loop = asyncio.new_event_loop()
    yield loop
    loop.close()
    for one, handler in before.items():
        signal.signal(one, handler)


@pytest.mark.parametrize("asked", CLOSING)
def test_a_signal_stops_the_server_after_a_notebook_has_run_on_its_loop(loop, asked):
    stops = []
    io_loop = SimpleNamespace(asyncio_loop=loop)
    server = SimpleNamespace(io_loop=io_loop, stop=lambda **how: stops.append(how))
    closing = Closing(server)
    closing.listen()

    async def run_as_the_notebook_client_does():
        with pytest.raises(RuntimeError):
            asyncio.get_running_loop().add_signal_handler(asked, stops.clear)
        asyncio.get_running_loop().remove_signal_handler(asked)

    loop.run_until_complete(run_as_the_notebook_client_does())
    assert not closing.is_asked
    os.kill(os.getpid(), asked)
    assert closing.is_asked
    assert stops == [{"from_signal": True}]


def test_other_signals_are_left_to_who_wants_them(loop):
    server = SimpleNamespace(io_loop=SimpleNamespace(asyncio_loop=loop), stop=None)
    Closing(server).listen()
    loop.add_signal_handler(signal.SIGUSR1, lambda: None)
    assert loop.remove_signal_handler(signal.SIGUSR1)
