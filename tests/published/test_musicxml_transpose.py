"""Spelled transpositions against MusicXML 4.0's <transpose> and against music21.

Table: tables/06h_musicxml_transpose.csv, from the W3C MusicXML 4.0 reference
(diatonic and chromatic exclude the octaves) and from music21 10.5.1, which
carries no octave transposition for contrabassoon, xylophone, glockenspiel and
celesta; for those the trade's octave stands.
"""

from __future__ import annotations

import importlib

import pytest

from harmony.instruments.catalogue import instrument, instruments
from harmony.pitch.spelling import Pitch
from tests.published.rows import read_table

#: Ways of writing for an instrument that the catalogue has once: old bass-clef
#: notation of the horn, and the tenor, whose octave stands in the clef.
NOT_IN_CATALOGUE = {"horn in F, old bass-clef notation", "tenor voice in treble clef"}
SAME = {
    "oboe d'amore in A": "oboe d'amore", "english horn in F": "english horn",
    "crotales": "crotales (2 octaves)", "double bass, solo tuning": "double bass in solo tuning",
}  # fmt: skip
ROWS = [
    row for row in read_table("06h_musicxml_transpose") if row["instrument"] not in NOT_IN_CATALOGUE
]
MUSIC21_LACKS_THE_OCTAVE = {"Contrabassoon", "Xylophone", "Glockenspiel", "Celesta"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["instrument"])
def test_steps_semitones_and_octaves(row: dict[str, str]) -> None:
    found = instrument(SAME.get(row["instrument"], row["instrument"]))
    octaves = int(row["octave_change"] or 0)
    assert found.transposition.semitones == int(row["chromatic"]) + 12 * octaves
    assert found.transposition.steps == int(row["diatonic"]) + 7 * octaves
    assert str(found.to_sounding(Pitch.from_text("C5"))) == row["sounding_of_written_C5"]


def test_the_rows_left_aside_are_not_in_the_catalogue_under_another_name() -> None:
    known = {one.name for one in instruments()}
    assert not known & NOT_IN_CATALOGUE
    assert len(ROWS) == 42 - len(NOT_IN_CATALOGUE)


def test_transpositions_equal_music21_where_it_is_right() -> None:
    library = importlib.import_module("music21.instrument")
    named = {row["music21_class"]: row["instrument"] for row in read_table("06a_instruments")}
    compared = 0
    for class_name, name in named.items():
        if not class_name or not hasattr(library, class_name):
            continue
        theirs = getattr(library, class_name)().transposition
        ours = instrument(name).transposition
        semitones = 0 if theirs is None else int(theirs.semitones)
        steps = 0 if theirs is None else theirs.generic.staffDistance
        if class_name in MUSIC21_LACKS_THE_OCTAVE:
            assert semitones == 0
            assert ours.semitones % 12 == 0
            continue
        assert (ours.steps, ours.semitones) == (steps, semitones), name
        compared += 1
    assert compared >= 25
