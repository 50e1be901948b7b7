"""Faults of the workbench itself show where they are."""

from __future__ import annotations

import pytest

from harmony.cli.main import TRACEBACK_VARIABLE


@pytest.fixture(autouse=True)
def show_faults(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(TRACEBACK_VARIABLE, "1")
