"""Melodies the composer hears without a key: idioms that need none, chords in no key."""

from __future__ import annotations

import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.keyless import IDIOMS_WITHOUT_KEY
from harmony.pitch import Line, MeterMap, Note, Pitch, Theme
from harmony.scoring.build import is_numeral
from harmony.units import as_quarters

ROW = "C4 F#4 G4 Db4 D4 G#4 A4 Eb4 E4 Bb4 B4 F4"


@pytest.fixture(scope="module")
def row() -> Theme:
    pitches = [Pitch.from_text(text) for text in ROW.split()]
    notes = (Note(as_quarters(n), as_quarters(1), p) for n, p in enumerate(pitches))
    return Theme(Line(tuple(notes)), MeterMap.steady("4/4"))


@pytest.mark.parametrize("idiom", IDIOMS_WITHOUT_KEY)
def test_chords_stand_in_no_key_and_are_named_by_symbols(row, idiom):
    text = "own: C Db D Eb E F F# G Ab A Bb B" if idiom == "own" else idiom
    found = harmony.harmonise(row, idioms=(text,), count=2, key="none")
    data = found.to_json()
    assert (data["key"], data["runner_up"]) == (None, None)
    for one in found.alternatives:
        assert {slot.key for slot in one.progression} == {None}
        assert not any(is_numeral(slot.figure) for slot in one.progression)
        assert one.terms["key_distance"] == one.terms["cadence"] == 0


@pytest.mark.parametrize(
    "idiom", ["common-practice", "modal, from bar 2 quartal", "modal from bar 2 quartal", ""]
)
def test_an_idiom_of_degrees_says_which_do_without_a_key(row, idiom):
    name = idiom.replace(",", "").partition(" ")[0]
    with pytest.raises(HarmonyError) as refused:
        harmony.harmonise(row, idioms=(idiom,), key="none")
    assert str(refused.value) == (
        f"The idiom '{name}' goes by the degrees of a key; third-relations, quartal, parallel, own"
        " do without, or set a key."
    )


def test_a_change_between_idioms_without_a_key_is_accepted(row):
    found = harmony.harmonise(
        row, idioms=("third-relations, from bar 2 quartal",), count=1, key="no key"
    )
    assert found.is_keyless
