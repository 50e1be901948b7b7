"""Ranges, clefs and transpositions against the collected table of instruments.

Table: tables/06a_instruments.csv. Its sources, row by row: an orchestra
librarians' table "Ranges of Orchestral Instruments", cards of an appendix
"Instrument ranges and transpositions", the page "Pitch of brass instruments",
and orchestration handbooks as recalled (marked memory, which includes every
comfortable range).
"""

from __future__ import annotations

import csv

import pytest

from harmony.instruments.catalogue import instrument, instruments
from harmony.pitch.spelling import Pitch
from harmony.tables import read_text
from tests.published.rows import read_table

ROWS = read_table("06a_instruments")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["instrument"])
def test_written_and_sounding_range_and_clefs(row: dict[str, str]) -> None:
    found = instrument(row["instrument"])
    assert found.low.midi == int(row["sounding_low_midi"])
    assert found.high.midi == int(row["sounding_high_midi"])
    assert str(found.written_low) == row["written_low"]
    assert str(found.written_high) == row["written_high"]
    assert str(found.to_written(found.easy_low)) == row["comfortable_written_low"]
    assert str(found.to_written(found.easy_high)) == row["comfortable_written_high"]
    assert found.transposition.semitones == int(row["transposition_semitones"])
    assert found.family == row["family"]
    # the table counts a tenor's octave clef as a treble clef
    assert " ".join(found.clefs).replace("treble8vb", "treble") == row["clefs"]


#: Older keys and tunings, which the table of ranges leaves out and 06h has.
OLDER = {
    "horn in E", "horn in Eb", "horn in D", "horn in Bb alto", "horn in Bb basso",
    "trumpet in A", "trumpet in F", "double bass in solo tuning",
}  # fmt: skip


def test_no_instrument_of_the_table_is_missing_or_beside_it() -> None:
    known = {one.name for one in instruments()}
    assert known == {row["instrument"] for row in ROWS} | OLDER


def test_a_horn_in_another_key_sounds_where_a_horn_in_f_does() -> None:
    horn = instrument("horn in F")
    for name in OLDER:
        if name.startswith("horn"):
            other = instrument(name)
            assert (other.low.midi, other.high.midi) == (horn.low.midi, horn.high.midi)


def test_each_row_says_where_it_is_from() -> None:
    own = {row["name"]: row for row in csv.DictReader(read_text("instruments.csv").splitlines())}
    for row in ROWS:
        mine = own[row["instrument"]]
        assert mine["range_origin"] == row["origin"]
        assert mine["easy_origin"] == row["comfortable_origin"] == "memory"
        assert mine["source"]
        assert mine["strength_origin"] or mine["strength"] == mine["section_strength"] == "0"


def test_a_comfortable_range_lies_inside_the_range() -> None:
    for one in instruments():
        assert one.low.midi <= one.easy_low.midi < one.easy_high.midi <= one.high.midi


def test_a_written_note_sounds_and_is_written_again() -> None:
    for one in instruments():
        for name in ("C4", "F#4", "Bb4"):
            assert str(one.to_written(one.to_sounding(Pitch.from_text(name)))) == name
