"""Stolzenburg 2015, Journal of Mathematics and Music 9(3): smoothed log2 periodicity.

170 chords of the supplementary table, rational tuning II:
tables/02b_harmonicity.csv.
"""

from __future__ import annotations

import pytest

from harmony.acoustics.periodicity import log_periodicity
from tests.published.rows import read_numbers, select_rows

ROWS = select_rows("02b_harmonicity", "smoothed log2 periodicity")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["inputs"])
def test_periodicity(row: dict[str, str]) -> None:
    chord = [int(number) for number in read_numbers(row["inputs"])]
    expected = float(row["expected"])
    # printed to three places, cut or rounded
    assert float(log_periodicity([60 + n for n in chord])[0]) == pytest.approx(
        expected, abs=0.00051
    )


def test_transposing_changes_nothing() -> None:
    chords = [[48, 52, 55, 58], [60, 64, 67, 70]]
    first, second = log_periodicity(chords)
    assert first == second


def test_the_series_itself_repeats_with_its_fundamental() -> None:
    assert log_periodicity([36, 48, 55, 60, 64, 67])[0] == 0.0
