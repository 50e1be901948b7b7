"""Harte's syntax: shorthands with their bitmaps, and the table's worked labels (05d).

Source: Harte, Sandler, Abdallah and Gomez, "Symbolic representation of musical
chords" (ISMIR 2005); bitmaps of the shorthands as published with mir_eval.
"""

from __future__ import annotations

import pytest

from harmony.chords.harte import read_harte
from harmony.errors import TextError
from tests.published.rows import read_table

SHORTHANDS = [
    row for row in read_table("05d_harte_musicxml_kinds") if "shorthand" in row["quantity"]
]
#: label -> (names, bass) of the rows "Harte syntax parse"
PARSED = {
    "C": ("C E G", "C"),
    "G#:min(*b3,*5)/5": ("G# D#", "D#"),
    "A:(3)/6": ("A C# F#", "F#"),
    "C:maj/3": ("C E G", "E"),
    "D:min7/b7": ("D F A C", "C"),
    "Eb:sus4(b7,9)": ("Eb Ab Bb Db F", "Eb"),
}


def test_the_rows_are_whole() -> None:
    assert len(SHORTHANDS) == 19
    parsed = [row for row in read_table("05d_harte_musicxml_kinds") if "parse" in row["quantity"]]
    assert {row["inputs"] for row in parsed} == {*PARSED, "N", "X"}


@pytest.mark.parametrize("row", SHORTHANDS, ids=lambda row: row["inputs"])
def test_a_shorthand_has_the_degrees_and_chroma_of_the_table(row: dict[str, str]) -> None:
    chord = read_harte(f"C:{row['inputs']}")
    assert chord is not None
    written, bits = (part.strip() for part in row["expected"].split("|"))
    degrees = [] if written.startswith("(") else written.split()
    assert sorted(str(d) for d in chord.degrees if str(d) != "1") == sorted(degrees)
    chroma = "".join("1" if pc in chord.pitch_classes else "0" for pc in range(12))
    assert chroma == bits


@pytest.mark.parametrize(("label", "expected"), PARSED.items())
def test_labels_read_as_the_table_says(label: str, expected: tuple[str, str]) -> None:
    chord = read_harte(label)
    assert chord is not None
    assert sorted(map(str, chord.names)) == sorted(expected[0].split())
    assert str(chord.bass) == expected[1]


def test_n_and_x_are_no_chord() -> None:
    assert read_harte("N") is None
    assert read_harte("X") is None


def test_a_bad_shorthand_is_marked() -> None:
    with pytest.raises(TextError) as caught:
        read_harte("C:mjr")
    assert caught.value.marked() == "C:mjr\n  ^^^"
