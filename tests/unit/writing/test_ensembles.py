"""Every ensemble out as a score: order, brackets, transpositions, concert and written pitch."""

from __future__ import annotations

import csv
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

import harmony
from harmony.instruments import catalogue
from harmony.pitch import MeterMap, Pitch
from harmony.reading.safe_xml import iterate_elements
from harmony.scoring import Event, Part, Score, Staff
from harmony.voicings import score
from harmony.voicings.score import realisation_to_score
from harmony.writing.musicxml import write_musicxml
from tests.published.musicxml_schema import faults
from tests.unit.writing.test_musicxml import music21_sounding

ENSEMBLES = (
    "SATB choir", "string quartet", "string quintet", "string orchestra", "horn quartet",
    "trombones and tuba", "brass quintet", "woodwind quintet", "woodwind choir", "clarinet choir",
    "saxophone quartet", "piano", "brass quintet + piano",
)  # fmt: skip
TAGS = ("diatonic", "chromatic", "octave-change")
COLUMNS = ("diatonic", "chromatic", "octave_change")
TABLE = Path(__file__).parents[2] / "published" / "tables" / "06h_musicxml_transpose.csv"


@pytest.mark.parametrize("name", ENSEMBLES)
def test_every_ensemble_is_written_valid_and_sounds_as_voiced(name: str) -> None:
    voiced = harmony.voice("Bb: I V6 | I", name)
    written = realisation_to_score(voiced.alternatives[0])
    expected = Counter(
        (str(pitch), event.onset, event.duration)
        for part in written.parts
        for staff in part.staves
        for event in staff.events
        for pitch in event.pitches
    )
    counts = [len(part.staves) for part in written.parts]
    for concert in (False, True):
        data = write_musicxml(written, concert=concert)
        assert faults(data) == []
        assert sum(music21_sounding(data, counts), Counter()) == expected


def test_joined_ensembles_stand_in_score_order_with_a_bracket_each() -> None:
    ensemble = catalogue.ensemble("string quartet + woodwind quintet")
    rows = score._rows(ensemble)
    places = [row[0][1][0] for row in rows]
    names = [ensemble.voices[place].player.instrument.name for place in places]
    assert names.index("flute") < names.index("violin")
    brackets = score._brackets(ensemble, rows)
    assert [(group.first, group.last) for group in brackets] == [(0, 4), (5, 8)]
    keyboard = score._rows(catalogue.ensemble("brass quintet + piano"))
    assert [len(row) for row in keyboard] == [1, 1, 1, 1, 1, 2]


def test_transpose_elements_equal_the_table() -> None:
    """MusicXML 4.0's <transpose>: sounding minus written (table 06h, with its sources)."""
    with TABLE.open(encoding="utf-8") as stream:
        rows = {row["instrument"].casefold(): row for row in csv.DictReader(stream)}
    checked = 0
    for name, row in rows.items():
        try:
            instrument = catalogue.instrument(name)
        except harmony.HarmonyError:
            continue
        event = Event(Fraction(0), Fraction(4), (Pitch.from_text("C4"),))
        part = Part(name, (Staff((event,)),), transposition=instrument.transposition)
        data = write_musicxml(Score((part,), MeterMap.steady("4/4")))
        found = [
            tuple(int(element.findtext(tag) or 0) for tag in TAGS)
            for event_name, element in iterate_elements(data, name="x")
            if event_name == "end" and element.tag == "transpose"
        ]
        wanted = tuple(int(row[column] or 0) for column in COLUMNS)
        assert (found or [(0, 0, 0)])[0] == wanted, name
        checked += 1
    assert checked >= 20
