"""Huron 1994, Music Perception 11(3): aggregate dyadic consonance; tables/02b_harmonicity.csv."""

from __future__ import annotations

import pytest

from harmony.acoustics.dyad import aggregate_consonance
from tests.published.rows import read_inputs, select_rows

ROWS = select_rows("02b_harmonicity", "Huron 1994 aggregate dyadic consonance")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["inputs"])
def test_consonance(row: dict[str, str]) -> None:
    classes = [int(number) for number in read_inputs(row)["pcs"].split()]
    found = aggregate_consonance(classes)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
