"""Labels of printed four-part examples against their notes (10d), and analysed chorales (10b).

Sources: N. Rimsky-Korsakov, Practical Manual of Harmony (1885), 37 worked
examples as encoded in the open dataset When in Rome (CC BY-SA 4.0); the analyses
of Bach's chorales that come with music21.
"""

from __future__ import annotations

import pytest

from harmony.chords.roman import read_numeral
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch
from tests.published.rows import read_table

EXAMPLES = [row for row in read_table("10d_textbook_realisations") if row["figure"]]
CHORALES = read_table("10b_chorale_roman_chords")


def test_the_tables_are_whole() -> None:
    assert len(EXAMPLES) == 256
    assert len({row["example"] for row in EXAMPLES}) == 37
    assert len(CHORALES) == 161


def share_inside() -> float:
    """The share of chords whose every sounding name belongs to their label."""
    inside = []
    for row in EXAMPLES:
        chord = read_numeral(row["figure"], Key.from_text(row["key"]))
        sounding = {Pitch.from_text(word).pitch_class for word in row["expected"].split()}
        inside.append(sounding <= chord.pitch_classes)
    return sum(inside) / len(inside)


def test_at_least_98_in_100_chords_lie_inside_their_label() -> None:
    assert share_inside() >= 0.98


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["id"])
def test_a_label_has_the_names_of_the_reference_reading(row: dict[str, str]) -> None:
    chord = read_numeral(row["figure"], Key.from_text(row["key"]))
    assert {str(name) for name in chord.names} == set(row["label_pitches"].split())


@pytest.mark.parametrize("row", CHORALES, ids=lambda row: row["id"])
def test_an_analysed_chord_has_the_names_and_bass_of_the_table(row: dict[str, str]) -> None:
    chord = read_numeral(row["figure"], Key.from_text(row["key"]))
    assert {str(name) for name in chord.names} == set(row["expected"].split())
    assert str(chord.bass) == row["bass"]
