"""Parncutt 1988, Music Perception 6(1):65-93: roots of chords and their ambiguity.

Table 4 and the vectors printed with an open R package (parn88), both with the
weights of 1988 and the later ones (2006): tables/02c_chord_roots.csv.
"""

from __future__ import annotations

import pytest

from harmony.acoustics.root import PARNCUTT_1988, PARNCUTT_2006, root_ambiguity, root_weights
from harmony.pitch.spelling import PitchName
from tests.published.rows import read_inputs, read_numbers, select_rows

AMBIGUITY = select_rows(
    "02c_chord_roots", "Parncutt 1988 root ambiguity", "Parncutt root ambiguity (later weights)"
)
WEIGHTS = select_rows("02c_chord_roots", "Parncutt root weights C..B")


def _supported(row: dict[str, str]):
    classes = [int(number) for number in read_numbers(read_inputs(row)["pcs"])]
    early = "v1" in row["inputs"]
    return root_weights(classes, PARNCUTT_1988 if early else PARNCUTT_2006)


@pytest.mark.parametrize("row", AMBIGUITY, ids=lambda row: row["inputs"])
def test_ambiguity(row: dict[str, str]) -> None:
    tolerance = float(row["tolerance"]) * 1.0000001
    assert root_ambiguity(_supported(row)) == pytest.approx(float(row["expected"]), abs=tolerance)


@pytest.mark.parametrize("row", WEIGHTS, ids=lambda row: row["inputs"])
def test_weights_root_and_ambiguity(row: dict[str, str]) -> None:
    vector, root, ambiguity = (part.strip() for part in row["expected"].split("|"))
    supported = _supported(row)
    # the printed vectors have four significant figures
    assert supported == pytest.approx(read_numbers(vector), abs=0.0005)
    largest = {int(place) for place in (supported >= supported.max() - 1e-9).nonzero()[0]}
    named = root.removeprefix("roots").removeprefix("root").replace(",", " ").replace("/", " ")
    assert {PitchName.from_text(name).pitch_class for name in named.split()} <= largest
    assert root_ambiguity(supported) == pytest.approx(float(ambiguity.split()[-1]), abs=0.0001)
