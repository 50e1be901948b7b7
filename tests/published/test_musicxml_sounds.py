"""Sound ids against the list of MusicXML 4.0 (W3C, sounds.xml), in tables/musicxml_sounds.csv."""

from __future__ import annotations

from harmony.instruments.catalogue import instruments
from tests.published.rows import read_table


def test_every_sound_is_a_standard_one() -> None:
    listed = {row["id"] for row in read_table("musicxml_sounds")}
    assert {one.sound for one in instruments()} <= listed


def test_programs_are_those_of_general_midi() -> None:
    for one in instruments():
        assert 1 <= one.midi_program <= 128
