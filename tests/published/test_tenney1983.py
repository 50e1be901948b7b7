"""Tenney 1983: harmonic distance log2(a b); tables/02b_harmonicity.csv, by other code."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.acoustics.ratio import tenney_distance
from tests.published.rows import select_rows

ROWS = select_rows("02b_harmonicity", "Tenney harmonic distance")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["inputs"])
def test_distance(row: dict[str, str]) -> None:
    above, below = row["inputs"].split(";")[1].split(":")
    found = tenney_distance(Fraction(int(above), int(below)))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
