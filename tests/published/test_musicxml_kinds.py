"""Chord symbols and MusicXML kinds (05b and the MusicXML rows of 05d), every row.

Sources: MusicXML 4.0 kind-value and degree-type definitions (W3C); Harte et al.
2005 for the labels; common practice where the table says so. Readings that are
disputed stand in data/disputed_readings.csv.
"""

from __future__ import annotations

import pytest

from harmony.chords.harte import read_harte
from harmony.chords.kinds import KindDegree, chord_to_kind, kind_rows, kind_to_chord
from harmony.chords.leadsheet import read_symbol
from harmony.chords.naming import chord_symbol
from harmony.chords.quality import Degree
from harmony.chords.tokens import Token
from harmony.chords.words import WordReader
from harmony.pitch.spelling import PitchName
from tests.published.rows import read_table

ROWS = read_table("05b_chord_symbols")
NO_CHORD = [row for row in ROWS if row["expected"] == "(none)"]
FUNCTIONAL = [row for row in ROWS if row["symbol"] in ("Neapolitan", "Italian", "French", "German",
                                                       "Tristan")]  # fmt: skip
SYMBOLS = [row for row in ROWS if row not in NO_CHORD and row not in FUNCTIONAL]
KINDS = [row for row in read_table("05d_harte_musicxml_kinds") if "kind-value" in row["quantity"]]


def _write_degree(degree: KindDegree) -> str:
    """Write a degree as the table does: in semitones against the major scale."""
    number = Degree(degree.value, degree.alter - (degree.type == "add" and degree.value == 7))
    return (
        f"{degree.type} {degree.value}" if degree.type == "subtract" else f"{degree.type} {number}"
    )


def test_the_tables_are_whole() -> None:
    assert (len(SYMBOLS), len(NO_CHORD), len(FUNCTIONAL), len(KINDS)) == (353, 3, 5, 33)


@pytest.mark.parametrize("row", SYMBOLS, ids=lambda row: row["symbol"])
def test_a_symbol_has_the_names_and_bass_of_the_table(row: dict[str, str]) -> None:
    chord = read_symbol(row["symbol"])
    assert sorted(map(str, chord.names)) == sorted(row["expected"].split())
    assert (str(chord.root), str(chord.bass)) == (row["root"], row["bass"])
    assert sorted(map(str, chord.degrees)) == sorted(row["degrees"].split())


@pytest.mark.parametrize("row", SYMBOLS, ids=lambda row: row["symbol"])
def test_a_symbol_is_written_as_the_kind_of_the_table(row: dict[str, str]) -> None:
    written = chord_to_kind(read_symbol(row["symbol"]))
    assert written is not None
    assert written.kind == row["musicxml_kind"]
    expected = [part.strip() for part in row["musicxml_degrees"].split(",") if part.strip()]
    assert [_write_degree(degree) for degree in written.degrees] == expected


@pytest.mark.parametrize("row", SYMBOLS, ids=lambda row: row["symbol"])
def test_the_kind_read_back_is_the_chord(row: dict[str, str]) -> None:
    chord = read_symbol(row["symbol"])
    written = chord_to_kind(chord)
    assert written is not None
    again = kind_to_chord(written.root, written.kind, bass=written.bass, degrees=written.degrees)
    assert again is not None
    assert (set(again.names), again.bass) == (set(chord.names), chord.bass)


@pytest.mark.parametrize("row", SYMBOLS, ids=lambda row: row["symbol"])
def test_the_harte_label_of_the_table_is_the_same_chord(row: dict[str, str]) -> None:
    chord, labelled = read_symbol(row["symbol"]), read_harte(row["harte"])
    assert labelled is not None
    assert set(labelled.names) == set(chord.names)
    assert labelled.bass == chord.bass


@pytest.mark.parametrize("row", SYMBOLS, ids=lambda row: row["symbol"])
def test_the_symbol_written_for_a_chord_reads_as_that_chord(row: dict[str, str]) -> None:
    chord = read_symbol(row["symbol"])
    again = read_symbol(chord_symbol(chord))
    assert (set(again.names), again.bass) == (set(chord.names), chord.bass)


@pytest.mark.parametrize("row", NO_CHORD, ids=lambda row: row["symbol"])
def test_no_chord_is_no_chord(row: dict[str, str]) -> None:
    token = Token("word", row["symbol"], 0, len(row["symbol"]))
    assert WordReader(row["symbol"]).read_chords(token, None, 1)[0][0] is None


@pytest.mark.parametrize("row", FUNCTIONAL, ids=lambda row: row["symbol"])
def test_functional_kinds_stand_on_the_tonic(row: dict[str, str]) -> None:
    root = "F" if row["symbol"] == "Tristan" else "C"
    chord = kind_to_chord(PitchName.from_text(root), row["musicxml_kind"])
    assert chord is not None
    assert sorted(map(str, chord.names)) == sorted(row["expected"].split())
    assert str(chord.bass) == row["bass"]


@pytest.mark.parametrize("row", KINDS, ids=lambda row: row["inputs"])
def test_every_kind_value_stands_for_the_degrees_of_the_table(row: dict[str, str]) -> None:
    known = kind_rows()[row["inputs"]]
    if row["expected"].startswith("("):
        chord = kind_to_chord(PitchName("C"), known.kind)
        assert (chord is None) == (known.kind == "none")
        return
    above = [str(degree) for degree in known.degrees if degree.number != 1]
    assert above == row["expected"].split()
