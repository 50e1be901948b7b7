"""The check tables beside these tests, as rows."""

from __future__ import annotations

import csv
from pathlib import Path

TABLES = Path(__file__).parent / "tables"


def read_table(name: str) -> list[dict[str, str]]:
    """Give the rows of tests/published/tables/NAME.csv."""
    text = (TABLES / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
