"""MIDI out, read back by mido as an independent reader and by our own."""

from __future__ import annotations

import io
from fractions import Fraction
from xml.etree.ElementTree import fromstring

import mido
from hypothesis import HealthCheck, Phase, given, settings

from harmony.pitch import Key, MeterMap, Pitch
from harmony.reading.opening import read_bytes
from harmony.scoring import Direction, Event, KeyChange, Part, Score, Staff, Tempo
from harmony.writing.midi import write_midi
from harmony.writing.musicxml import write_musicxml
from tests.unit.writing.random_scores import scores


def played(data: bytes) -> list[list[tuple[Fraction, int]]]:
    """Give for each track (quarters, MIDI number) of its attacks, as mido reads them."""
    file = mido.MidiFile(file=io.BytesIO(data))
    tracks = []
    for track in file.tracks:
        now, attacks = 0, []
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                attacks.append((Fraction(now, file.ticks_per_beat), message.note))
        tracks.append(sorted(attacks))
    return tracks


@settings(
    max_examples=30,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(scores())
def test_mido_hears_every_attack_at_its_time(score: Score) -> None:
    expected = [
        sorted(
            (event.onset, pitch.midi)
            for staff in part.staves
            for event in staff.events
            if event.grace is None
            for pitch in event.pitches
        )
        for part in score.parts
    ]
    assert played(write_midi(score)) == [[], *expected]


def test_tempo_key_meter_names_and_loudness_come_back() -> None:
    events = (
        Event(Fraction(0), Fraction(2), (Pitch.from_text("Eb4"),), ties=("start",)),
        Event(Fraction(2), Fraction(1), (Pitch.from_text("Eb4"),), ties=("stop",)),
        Event(Fraction(3), Fraction(1), (Pitch.from_text("F4"),), marks=("staccato",)),
    )
    staff = Staff(events, directions=(Direction(Fraction(0), "dynamic", "pp"),))
    score = Score(
        (Part("Viola", (staff,), midi_program=42),),
        MeterMap.steady("3/4"),
        (Tempo(Fraction(0), 66.0),),
        keys=(KeyChange(Fraction(0), Key.from_text("Eb")),),
    )
    data = write_midi(score)
    assert data == write_midi(score)
    assert played(data)[1] == [(0, 63), (3, 65)]
    file = mido.MidiFile(file=io.BytesIO(data))
    loudness = {m.velocity for m in file.tracks[1] if m.type == "note_on"}
    assert loudness == {36}
    read = read_bytes(data, name="x.mid")
    assert read.keys[0].key == Key.from_text("Eb")
    assert read.parts[0].name == "Viola"
    assert read.parts[0].midi_program == 42
    assert abs(read.tempi[0].quarters_per_minute - 66) < 0.01
    assert read.meters == score.meters


def test_a_tempo_slower_than_a_file_can_say_is_the_slowest_there_is() -> None:
    whole = Event(Fraction(0), Fraction(4), (Pitch.from_text("C4"),))
    for speed in (3.0, 0.001):
        score = Score(
            (Part("Viola", (Staff((whole,)),)),),
            MeterMap.steady("4/4"),
            tempi=(Tempo(Fraction(0), speed),),
        )
        (found,) = [
            message.tempo
            for track in mido.MidiFile(file=io.BytesIO(write_midi(score))).tracks
            for message in track
            if message.type == "set_tempo"
        ]
        assert found == 0xFFFFFF


def test_percussion_has_channel_10_and_no_other_part_has() -> None:
    """In MIDI, and in what MusicXML says for players of its own."""
    hit = Event(Fraction(0), Fraction(4), (Pitch.from_text("C5"),), marks=("unpitched",))
    whole = Event(Fraction(0), Fraction(4), (Pitch.from_text("C4"),))
    parts = [Part(f"Viola {n}", (Staff((whole,)),)) for n in range(12)]
    score = Score((Part("Drum", (Staff((hit,)),)), *parts), MeterMap.steady("4/4"))
    tracks = mido.MidiFile(file=io.BytesIO(write_midi(score))).tracks[1:]
    played = [{m.channel for m in track if m.type == "note_on"} for track in tracks]
    written = [
        {int(element.text or "") - 1}
        for element in fromstring(write_musicxml(score)).iter("midi-channel")
    ]
    assert played == written
    assert played[0] == {9}
    assert {9} not in played[1:]
