"""Voicings placed on the partials of a given fundamental.

Table: tables/01c_voicing_vs_series.csv, computed there by other code from
k = round(f / f0) and the deviation 1200 log2(f / (k f0)), A4 = 440 Hz.
"""

from __future__ import annotations

import pytest

from harmony.acoustics.fundamental import find_fundamentals
from harmony.acoustics.series import place_in_series
from harmony.pitch.spelling import Pitch
from tests.published.rows import select_rows

ROWS = select_rows("01c_voicing_vs_series", "voicing against a harmonic series")
#: Minor chords, whose given fundamental explains no more than two of the notes.
MINOR = {"C3 Eb3 G3", "A2 E3 C4"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["notes"])
def test_partials_and_deviations(row: dict[str, str]) -> None:
    pitches = [Pitch.from_text(name) for name in row["notes"].split()]
    placed = place_in_series(pitches, Pitch.from_text(row["fundamental"]))
    assert [one.partial for one in placed] == [int(number) for number in row["partials"].split()]
    deviations = [float(cents) for cents in row["deviations"].split()]
    assert [one.deviation_cents for one in placed] == pytest.approx(deviations, abs=0.001)
    largest = max(abs(one.deviation_cents) for one in placed)
    assert largest == pytest.approx(float(row["max_abs_deviation"]), abs=0.001)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["notes"])
def test_the_fundamental_found_is_the_one_the_table_supposes(row: dict[str, str]) -> None:
    best, runner_up = find_fundamentals([Pitch.from_text(n).midi for n in row["notes"].split()])
    assert best.support >= runner_up.support
    if row["notes"] not in MINOR:
        assert best.midi == Pitch.from_text(row["fundamental"]).midi
