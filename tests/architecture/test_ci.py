"""`.ci/run` passes a clean run and is seen to fail on a fault, a failure and a skipped test."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.architecture.checkout import ROOT

CLOSING = "====== 812 passed in 93.10s (0:01:33) ======"
SKIPPING = "====== 811 passed, 1 skipped in 93.10s (0:01:33) ======"
SKIPPED = "SKIPPED [1] tests/browser/test_desk.py:12: no browser"


def run_ci(
    folder: Path,
    printed: str,
    *,
    tests_status: int = 0,
    gates_status: int = 0,
    allowed: str | None = None,
) -> str:
    """Run a copy of `.ci/run` with stand-ins for the programs it calls; give what it printed.

    The stand-in for make prints ``printed`` for the suite and ends with the status given.
    """
    (folder / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", folder / ".ci" / "run")
    if allowed is not None:
        (folder / ".ci" / "allowed-skips").write_text(f"{allowed}\n")
    programs = folder / "programs"
    programs.mkdir()
    make = (
        f'case "$1" in gates) exit {gates_status};;'
        f" test) cat <<'END'\n{printed}\nEND\nexit {tests_status};; esac"
    )
    for name, body in {"make": make, "apt-get": "exit 0", "chromium": "exit 0"}.items():
        program = programs / name
        program.write_text(f"#!/bin/sh\n{body}\n")
        program.chmod(0o755)
    done = subprocess.run(
        ["bash", ".ci/run"],
        cwd=folder,
        env={**os.environ, "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}"},
        check=False,
        capture_output=True,
        text=True,
        timeout=60,
    )
    return f"{done.returncode}\n{done.stdout}{done.stderr}"


def test_a_clean_run_passes_and_ends_with_the_runner_s_closing_line(tmp_path: Path) -> None:
    lines = run_ci(tmp_path, CLOSING).splitlines()
    assert (lines[0], lines[-1]) == ("0", CLOSING)


def test_a_skipped_test_fails_the_run(tmp_path: Path) -> None:
    said = run_ci(tmp_path, f"{SKIPPED}\n{SKIPPING}")
    assert said.startswith("1\n")
    assert "Skipped, though it could run here" in said


def test_a_skip_that_is_allowed_by_name_does_not(tmp_path: Path) -> None:
    said = run_ci(tmp_path, f"{SKIPPED}\n{SKIPPING}", allowed=r"test_desk\.py:12: no browser")
    assert said.startswith("0\n")


@pytest.mark.parametrize("statuses", [{"tests_status": 1}, {"gates_status": 2}])
def test_a_failure_fails_the_run(tmp_path: Path, statuses: dict[str, int]) -> None:
    assert not run_ci(tmp_path, CLOSING, **statuses).startswith("0\n")
