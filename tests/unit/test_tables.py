"""Tables are checked whole: every fault is told, with its file and row."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.tables import reading


def faults_of(monkeypatch: pytest.MonkeyPatch, text: str) -> str:
    monkeypatch.setattr(reading, "read_text", lambda _: text)
    with pytest.raises(HarmonyError) as caught:
        reading.read_rows("some.csv", lambda row: int(row["size"]), needs=("size",))
    assert caught.value.where == "some.csv"
    return caught.value.message


def test_every_faulty_row_is_told_the_first_among_them(monkeypatch: pytest.MonkeyPatch) -> None:
    told = faults_of(monkeypatch, "size,source\nlarge,here\n2,there\nsmall,\n")
    assert "some.csv, row 2: " in told
    assert "'large'" in told
    assert "some.csv, row 4, column source: empty" in told
    assert "'small'" in told


def test_a_missing_column_is_told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    told = faults_of(monkeypatch, "width,source\n1,here\n2,there\n")
    assert told == "some.csv: the column size is missing."
