"""Roman numerals as RomanText defines them (05a), in every row: spelling, root and bass.

Sources: Tymoczko, Gotham, Cuthbert and Ariza, "The RomanText format" (ISMIR
2019); Kostka and Payne, Tonal Harmony; Aldwell and Schachter. The table's own
columns say row by row where music21 10.5.1 agrees. Readings that are disputed
stand in data/disputed_readings.csv.
"""

from __future__ import annotations

import pytest

from harmony.chords.naming import figure_in_key
from harmony.chords.roman import read_numeral
from harmony.pitch.key import Key
from tests.published.rows import read_table

ROWS = read_table("05a_roman_numerals")


def test_the_table_is_whole() -> None:
    assert len(ROWS) == 876


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['key']}:{row['symbol']}")
def test_a_numeral_has_the_names_root_and_bass_of_the_table(row: dict[str, str]) -> None:
    chord = read_numeral(row["symbol"], Key.from_text(row["key"]))
    assert sorted(map(str, chord.names)) == sorted(row["expected"].split())
    assert str(chord.bass) == row["bass"]
    if row["root"]:  # the table names no root for augmented sixths and suspensions
        assert str(chord.root) == row["root"]
    if row["inversion"]:
        assert chord.inversion == int(row["inversion"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['key']}:{row['symbol']}")
def test_the_numeral_written_for_a_chord_reads_as_that_chord(row: dict[str, str]) -> None:
    key = Key.from_text(row["key"])
    chord = read_numeral(row["symbol"], key)
    again = read_numeral(figure_in_key(chord, key), key)
    assert (set(again.names), again.bass) == (set(chord.names), chord.bass)
