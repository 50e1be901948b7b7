"""Moves between triads as named by Cohn: tables/03c_neo_riemannian.csv."""

from __future__ import annotations

import pytest

from harmony.harmonising.costs import MOVES, move_triad
from harmony.pitch import PitchName
from tests.published.rows import select_rows

ROWS = select_rows("03c_neo_riemannian", "neo-Riemannian operation")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_moves_lead_where_the_table_says(row):
    letter = row["operation"][0]
    assert letter in MOVES
    start = PitchName.from_text(row["from_triad"]).pitch_class
    root, is_minor = move_triad(start, letter, is_minor=row["from_triad"][0].islower())
    assert root == PitchName.from_text(row["to_triad"]).pitch_class
    assert is_minor == row["to_triad"][0].islower()
