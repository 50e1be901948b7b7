"""Everything in this folder is a benchmark: it runs by `make bench` and nowhere else.

A run ends with the table of every promised figure, which also goes, with the drawings
of growth, into build/benchmarks or the folder that HARMONY_BENCH_FOLDER names.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.benchmarks.ledger import Ledger, write_markdown_table, write_text_table

HERE = Path(__file__).parent
FOLDER = "HARMONY_BENCH_FOLDER"
_LEDGER = pytest.StashKey[Ledger]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_LEDGER] = Ledger()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.benchmark)


@pytest.fixture(scope="session")
def ledger(pytestconfig: pytest.Config) -> Ledger:
    """The measurements of this run, beside what was promised."""
    return pytestconfig.stash[_LEDGER]


@pytest.fixture(scope="session")
def bench_folder() -> Path:
    """Where tables and drawings of this run are written."""
    return make_folder()


def make_folder() -> Path:
    folder = Path(os.environ.get(FOLDER, HERE.parents[1] / "build" / "benchmarks"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    ledger = config.stash[_LEDGER]
    if not ledger.measured:
        return
    rows = ledger.rows()
    terminalreporter.section("promised and measured")
    terminalreporter.write_line(write_text_table(rows))
    terminalreporter.write_line(ledger.tell_missing())
    path = make_folder() / "aims.md"
    path.write_text(write_markdown_table(rows), encoding="utf-8")
    terminalreporter.write_line(f"written to {path}")
