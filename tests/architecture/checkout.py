"""The checkout as the architecture tests see it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "harmony"


def list_tracked_files() -> list[Path]:
    """Give every file that git tracks and that is on the disk."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def list_modules() -> list[Path]:
    """Give every module of the package."""
    return sorted(path for path in PACKAGE.rglob("*.py") if "_shipped" not in path.parts)


def run_tool(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a tool of the environment the tests run in, on the tree at ``cwd``."""
    program = Path(sys.executable).parent / words[0]
    surroundings = {**os.environ, "PYTHONPATH": str(cwd), "NO_COLOR": "1", "COLUMNS": "200"}
    return subprocess.run(
        [str(program), *words[1:]],
        cwd=cwd,
        env=surroundings,
        check=False,
        capture_output=True,
        text=True,
        timeout=240,
    )
