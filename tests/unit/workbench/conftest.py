"""What the tests of the desks share."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.state import Choices, Question
from harmony.workbench.harmonising.work import Work, do_work
from harmony.workbench.progression.view import ProgressionDesk


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
