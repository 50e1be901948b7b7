"""Each gate lets the clean tree pass and is seen to stop a deliberate fault."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.architecture.checkout import PACKAGE, ROOT, run_tool

CLEAN_MODULE = '''\
"""A module without a fault."""


def double(value: int) -> int:
    """Give twice the value."""
    return 2 * value
'''


@pytest.fixture
def whole_tree(tmp_path: Path) -> Path:
    """A copy of the package and its configuration."""
    shutil.copytree(
        PACKAGE, tmp_path / "harmony", ignore=shutil.ignore_patterns("__pycache__", "data")
    )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


@pytest.fixture
def small_tree(tmp_path: Path) -> Path:
    """A package of one clean module under the real configuration."""
    folder = tmp_path / "harmony"
    folder.mkdir()
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (folder / "__init__.py").write_text('"""A small package."""\n')
    (folder / "sample.py").write_text(CLEAN_MODULE)
    return tmp_path


def test_the_import_contracts_hold_on_the_clean_tree(whole_tree: Path) -> None:
    done = run_tool("lint-imports", "--no-cache", cwd=whole_tree)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("module", "line", "contract"),
    [
        ("pitch/spelling.py", "import harmony.chords.chord", "Imports run downward only"),
        ("search/best.py", "import harmony.pitch.spelling", "Imports run downward only"),
        (
            "chords/chord.py",
            "import music21",
            "Only reading and the learning scripts import music21",
        ),
        ("chords/chord.py", "import ipywidgets", "Only the workbench knows the screen"),
        (
            "workbench/spacing/view.py",
            "import harmony.workbench.progression.state",
            "Among the desks imports run one way",
        ),
    ],
)
def test_an_import_in_the_wrong_direction_is_stopped(
    whole_tree: Path, module: str, line: str, contract: str
) -> None:
    path = whole_tree / "harmony" / module
    path.write_text(path.read_text(encoding="utf-8") + f"\n{line}\n", encoding="utf-8")
    done = run_tool("lint-imports", "--no-cache", cwd=whole_tree)
    assert done.returncode == 1, done.stdout + done.stderr
    assert f"{contract} BROKEN" in done.stdout


def test_a_new_subpackage_must_be_given_its_floor(whole_tree: Path) -> None:
    floor = whole_tree / "harmony" / "basement"
    floor.mkdir()
    (floor / "__init__.py").write_text('"""Unplaced."""\n')
    done = run_tool("lint-imports", "--no-cache", cwd=whole_tree)
    assert done.returncode == 1
    assert "basement" in done.stdout


def test_ruff_passes_a_clean_module(small_tree: Path) -> None:
    assert run_tool("ruff", "check", "--no-cache", ".", cwd=small_tree).returncode == 0
    assert run_tool("ruff", "format", "--no-cache", "--check", ".", cwd=small_tree).returncode == 0


@pytest.mark.parametrize(
    ("fault", "rule"),
    [
        ("import os\n", "F401"),
        ("try:\n    double(1)\nexcept Exception:\n    pass\n", "BLE001"),
        ("def halve(value: int) -> int:\n    return value // 2\n", "D103"),
        ("# TO" + "DO: later\n", "FIX002"),
        ("def scale(value: int, up: bool) -> int:\n    return value + up\n", "FBT001"),
    ],
)
def test_a_lint_fault_is_stopped(small_tree: Path, fault: str, rule: str) -> None:
    path = small_tree / "harmony" / "sample.py"
    path.write_text(f"{CLEAN_MODULE}\n\n{fault}")
    done = run_tool("ruff", "check", "--no-cache", ".", cwd=small_tree)
    assert done.returncode == 1
    assert rule in done.stdout


def test_a_badly_laid_out_module_is_stopped(small_tree: Path) -> None:
    (small_tree / "harmony" / "sample.py").write_text(CLEAN_MODULE.replace("2 * value", "2*value"))
    done = run_tool("ruff", "format", "--no-cache", "--check", ".", cwd=small_tree)
    assert done.returncode == 1
    assert "sample.py" in done.stdout


def test_mypy_passes_a_clean_module(small_tree: Path) -> None:
    done = run_tool("mypy", "--cache-dir", str(small_tree / "cache"), cwd=small_tree)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        ('WRONG: int = double("one")\n', "arg-type"),
        ("def loose(value):\n    return value\n", "no-untyped-def"),
        ("def half() -> dict:\n    return {}\n", "type-arg"),
    ],
)
def test_a_type_fault_is_stopped(small_tree: Path, fault: str, code: str) -> None:
    path = small_tree / "harmony" / "sample.py"
    path.write_text(f"{CLEAN_MODULE}\n\n{fault}")
    done = run_tool("mypy", "--cache-dir", str(small_tree / "cache"), cwd=small_tree)
    assert done.returncode == 1
    assert f"[{code}]" in done.stdout


@pytest.mark.parametrize(
    ("cell", "status"),
    [
        ({"cell_type": "code", "execution_count": None, "outputs": [], "source": []}, 0),
        ({"cell_type": "code", "execution_count": 3, "outputs": [], "source": []}, 1),
        ({"cell_type": "code", "execution_count": None, "outputs": [{"text": "x"}]}, 1),
        ({"cell_type": "markdown", "source": ["Words"]}, 0),
    ],
)
def test_a_notebook_with_outputs_is_stopped(
    tmp_path: Path, cell: dict[str, object], status: int
) -> None:
    (tmp_path / "desk.ipynb").write_text(json.dumps({"cells": [cell], "nbformat": 4}))
    gate = str(ROOT / "tests" / "architecture" / "notebook_outputs.py")
    done = run_tool("python", gate, str(tmp_path), cwd=tmp_path)
    assert done.returncode == status
    assert ("desk.ipynb: cell 1" in done.stdout) is (status == 1)


def test_the_checkout_s_notebooks_hold_no_outputs() -> None:
    gate = str(ROOT / "tests" / "architecture" / "notebook_outputs.py")
    done = run_tool("python", gate, "notebooks", cwd=ROOT)
    assert done.returncode == 0, done.stdout
