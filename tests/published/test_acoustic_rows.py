"""Every published row of the acoustic tables is read by one of these tests."""

from __future__ import annotations

from importlib import import_module

import pytest

from tests.published.rows import read_table

MODULES = (
    "ellis1885", "iso16", "series_placing", "plomplevelt1965", "hutchinsonknopoff1978",
    "sethares1993", "vassilakis2001", "zwickerterhardt1980", "parncutt1988", "terhardt1982",
    "euler1739", "tenney1983", "barlow1987", "huron1994", "stolzenburg2015", "bowling2018",
)  # fmt: skip
TABLES = (
    "01_harmonic_series", "01b_tuning", "01c_voicing_vs_series", "02a_roughness",
    "02b_harmonicity", "02c_chord_roots",
)  # fmt: skip


@pytest.mark.parametrize("table", TABLES)
def test_no_published_row_is_left_out(table: str) -> None:
    read: set[str] = set()
    for name in MODULES:
        module = import_module(f"tests.published.test_{name}")
        for value in vars(module).values():
            if isinstance(value, list) and value and isinstance(value[0], dict):
                read |= {row["id"] for row in value}
    wanted = {row["id"] for row in read_table(table) if row["origin"] in ("published", "library")}
    assert wanted
    assert wanted <= read, sorted(wanted - read)
