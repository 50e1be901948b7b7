"""Desks without a browser do at once what in JupyterLab waits its turn."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest

from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.state import Choices, Question
from harmony.workbench.harmonising.work import Work, do_work
from harmony.workbench.progression.view import ProgressionDesk


@pytest.fixture(autouse=True)
def no_loop_runs() -> Iterator[None]:
    """Hide the loop that a browser opened by another test keeps running in this process.

    With a loop, a desk tells the rest of its answer a moment later, as in JupyterLab.
    """
    running = asyncio._get_running_loop()
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(running)


@pytest.fixture(autouse=True)
def own_sketchbook(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Give every test an empty sketchbook of its own."""
    monkeypatch.setenv("HARMONY_SKETCHBOOK", str(tmp_path))


@pytest.fixture
def desk(tmp_path: Path) -> ProgressionDesk:
    """Desk 1 on a sketchbook of its own."""
    return ProgressionDesk(sketchbook=Sketchbook(tmp_path))


@pytest.fixture(scope="session")
def work() -> Work:
    """What desk 3 opens with."""
    return do_work(Choices(Question("Pattern drawer")))
