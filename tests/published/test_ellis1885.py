"""The harmonic series and pure intervals in cents.

Cents by Ellis' definition (1885): 1200 log2 of the ratio. Tables:
tables/01_harmonic_series.csv and tables/01b_tuning.csv (computed there from
the definition by other code).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.acoustics.series import harmonic_series
from harmony.pitch.spelling import Pitch
from harmony.pitch.tuning import just_intervals
from harmony.units import ratio_to_cents
from tests.published.rows import read_inputs, select_rows

SERIES_ROWS = select_rows("01_harmonic_series", "harmonic partial")
INTERVAL_ROWS = select_rows("01b_tuning", "just interval in cents")


@pytest.mark.parametrize("row", SERIES_ROWS, ids=lambda row: row["inputs"])
def test_partial(row: dict[str, str]) -> None:
    given = read_inputs(row)
    number = int(given["partial"])
    partial = harmonic_series(Pitch.from_text(given["fundamental"]), 32)[number - 1]
    assert partial.number == number
    assert partial.deviation_cents == pytest.approx(float(row["expected"]), abs=0.0005)
    assert partial.frequency_hz == pytest.approx(float(row["freq_hz"]), abs=0.00005)
    assert partial.cents == pytest.approx(float(row["cents_above_fundamental"]), abs=0.00005)
    assert partial.nearest.midi == int(row["nearest_midi"])
    if row["conventional_spelling"]:
        assert str(partial.nearest) == row["conventional_spelling"]


@pytest.mark.parametrize("row", INTERVAL_ROWS, ids=lambda row: row["inputs"])
def test_pure_interval(row: dict[str, str]) -> None:
    name, ratio = row["inputs"].split(";ratio=")
    assert ratio_to_cents(float(Fraction(ratio))) == pytest.approx(
        float(row["expected"]), abs=0.0005
    )
    ours = next(one for one in just_intervals() if one.ratio == Fraction(ratio))
    assert ours.name == name
    assert ours.cents == pytest.approx(float(row["expected"]), abs=0.0005)
