"""The check tables beside these tests, as rows."""

from __future__ import annotations

import csv
import re
from pathlib import Path

TABLES = Path(__file__).parent / "tables"


def read_table(name: str) -> list[dict[str, str]]:
    """Give the rows of tests/published/tables/NAME.csv."""
    text = (TABLES / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def select_rows(name: str, *quantities: str) -> list[dict[str, str]]:
    """Give the rows of a table whose quantity begins with one of ``quantities``.

    Each quantity must be found, so that a renamed row never goes untested.
    """
    rows = read_table(name)
    for quantity in quantities:
        assert any(row["quantity"].startswith(quantity) for row in rows), quantity
    return [row for row in rows if row["quantity"].startswith(quantities)]


def read_inputs(row: dict[str, str]) -> dict[str, str]:
    """Give the ``name=value`` parts of a row's inputs; words without a value map to ''."""
    parts = (part.partition("=") for part in row["inputs"].split(";"))
    return {name.strip(): value.strip() for name, _, value in parts}


def read_numbers(text: str) -> list[float]:
    """Give every number in a text, in order."""
    return [float(number) for number in re.findall(r"-?\d+\.?\d*", text)]
