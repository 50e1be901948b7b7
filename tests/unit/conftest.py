"""Desks without a browser do at once what in JupyterLab waits its turn."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def no_loop_runs() -> Iterator[None]:
    """Hide the loop that a browser opened by another test keeps running in this process.

    With a loop, a desk tells the rest of its answer a moment later, as in JupyterLab.
    """
    running = asyncio._get_running_loop()
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(running)
