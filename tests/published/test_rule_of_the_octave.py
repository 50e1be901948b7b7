"""The rule of the octave, up and down: tables/04b_rule_of_the_octave.csv (Fenaroli's scheme).

The learnt chain harmonises the bare scale as a bass; where the rule has a choice of
more than one chord in the trade (ascending 2 and 6) another may stand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.harmonising.given import harmonise_bass
from harmony.pitch import Key, Line, MeterMap, Note, PitchName, Theme
from tests.published.rows import read_table

ROWS = [row for row in read_table("04b_rule_of_the_octave") if row["version"] == "Fenaroli"]


def scale_rows(tonic: str, direction: str) -> list[dict[str, str]]:
    return [
        row
        for row in ROWS
        if row["inputs"].startswith(f"{tonic} major;") and row["direction"] == direction
    ]


def scale_theme(tonic: str, rows: list[dict[str, str]]) -> Theme:
    key = Key.from_text(tonic)
    degrees = [int(row["bass_degree"]) for row in rows]
    up = rows[0]["direction"] == "asc"
    notes = []
    midi = 36 if up else 60
    for place, degree in enumerate(degrees):
        name: PitchName = key.degree((degree - 1) % 7 + 1)
        while midi % 12 != name.pitch_class:
            midi += 1 if up else -1
        notes.append(Note(Fraction(place), Fraction(1), name.at_midi(midi)))
    return Theme(Line(tuple(notes)), MeterMap.steady("4/4"), key)


@pytest.mark.parametrize("direction", ["asc", "desc"])
@pytest.mark.parametrize("tonic", ["C", "G", "Eb"])
def test_scale_in_the_bass_is_harmonised_by_the_rule(tonic, direction):
    rows = scale_rows(tonic, direction)
    assert len(rows) == 8
    found = harmonise_bass(scale_theme(tonic, rows), key=tonic)
    chords = [slot.chord for slot in found.progression]
    assert [chord.bass.pitch_class for chord in chords] == [
        PitchName.from_text(row["chord"].split()[0]).pitch_class for row in rows
    ]
    agreed = 0
    for chord, row in zip(chords, rows, strict=True):
        wanted = {PitchName.from_text(name).pitch_class for name in row["chord"].split()}
        agreed += len(chord.pitch_classes & wanted) >= 3
    # Downward all eight are the rule's own; upward the chorales take 2, 3 and 5 otherwise.
    assert agreed >= {"asc": 5, "desc": 8}[direction]
    assert chords[0].root == chords[-1].root == Key.from_text(tonic).tonic
