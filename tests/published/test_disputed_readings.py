"""The disputed readings, all in one table, are those that are read (data/disputed_readings.csv).

Sources row by row in the table; the reasons are the choices made here.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from harmony.chords.leadsheet import read_symbol
from harmony.chords.roman import read_numeral
from harmony.pitch.key import Key
from harmony.tables.reading import read_rows

COLUMNS = ("symbol", "key", "names", "bass", "reason")
ROWS = read_rows("disputed_readings.csv", dict, needs=COLUMNS)


def test_all_that_the_check_tables_call_disputed_is_there() -> None:
    assert {"N", "bVII7", "bVI7", "bIII", "C7alt", "C11", "C13", "V11", "V13", "Vsus4"} <= {
        row["symbol"] for row in ROWS
    }
    assert all(row["reason"] for row in ROWS)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['key']}:{row['symbol']}")
def test_a_disputed_symbol_is_read_as_the_table_says(row: Mapping[str, str]) -> None:
    if row["key"]:
        chord = read_numeral(row["symbol"], Key.from_text(row["key"]))
    else:
        chord = read_symbol(row["symbol"])
    assert {str(name) for name in chord.names} == set(row["names"].split())
    assert str(chord.bass) == row["bass"]
