"""The public functions: found by name, loaded late, never named like a subpackage."""

from __future__ import annotations

import ast
import inspect
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import harmony

SOURCE = Path(harmony.__file__)


def test_every_public_name_is_found_where_the_table_says() -> None:
    assert sorted(harmony.__all__) == sorted(harmony._HOMES)
    for name, module in harmony._HOMES.items():
        public = inspect.unwrap(getattr(harmony, name))
        assert public is getattr(import_module(module), name)


def test_the_type_checker_is_told_the_same_homes() -> None:
    told = {
        alias.name: node.module
        for node in ast.walk(ast.parse(SOURCE.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("harmony.")
        for alias in node.names
    }
    assert told == harmony._HOMES


def test_no_public_name_is_a_subpackage_s() -> None:
    folders = {path.parent.name for path in SOURCE.parent.glob("*/__init__.py")}
    assert folders
    assert folders.isdisjoint(harmony.__all__)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = harmony.nothing  # type: ignore[attr-defined]


def test_the_import_loads_nothing_else() -> None:
    asked = "import sys, harmony; print([m for m in sys.modules if m.startswith('harmony.')])"
    done = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"
