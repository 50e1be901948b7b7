"""MIDI files, read against mido as an independent writer."""

from __future__ import annotations

import io
from fractions import Fraction

import mido
import pytest

from harmony.pitch import Key, Meter
from harmony.reading.midi_notes import Sounding, find_key, quantise
from harmony.reading.opening import read_bytes


def midi_file(*messages: mido.Message, tracks: int = 1) -> bytes:
    file = mido.MidiFile(ticks_per_beat=480)
    for _ in range(tracks):
        file.tracks.append(mido.MidiTrack(messages))
    held = io.BytesIO()
    file.save(file=held)
    return held.getvalue()


def notes(*numbers: int, ticks: int = 480) -> list[mido.Message]:
    found = []
    for number in numbers:
        found.append(mido.Message("note_on", note=number, velocity=64, time=0))
        found.append(mido.Message("note_off", note=number, time=ticks))
    return found


def test_notes_names_tempo_meter_and_key_are_kept() -> None:
    data = midi_file(
        mido.MetaMessage("track_name", name="Viola"),
        mido.MetaMessage("time_signature", numerator=3, denominator=4),
        mido.MetaMessage("key_signature", key="Ebm"),
        mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(72)),
        mido.Message("program_change", program=41),
        *notes(63, 66, 70, 74),
    )
    score = read_bytes(data, name="x.mid")
    assert score.parts[0].name == "Viola"
    assert score.parts[0].midi_program == 42
    assert score.meters.meter_at(1) == Meter((3,), 4)
    assert score.keys[0].key == Key.from_text("eb")
    assert score.tempi[0].quarters_per_minute == pytest.approx(72)
    assert [str(e.pitches[0]) for e in score.parts[0].staves[0].events] == [
        "Eb4",
        "Gb4",
        "Bb4",
        "D5",
    ]
    assert any("spelled in eb" in sentence for sentence in score.losses)


def test_without_a_meter_four_four_is_assumed_and_told() -> None:
    score = read_bytes(midi_file(*notes(60, 62, 64, 65, 67)), name="x.mid")
    assert score.meters.meter_at(1) == Meter((4,), 4)
    assert "The file has no meter; 4/4 is assumed." in score.losses
    assert len(score.all_bars) == 2


def test_chords_and_overlaps_become_chords_and_voices() -> None:
    data = midi_file(
        mido.Message("note_on", note=60, velocity=64, time=0),
        mido.Message("note_on", note=64, velocity=64, time=0),
        mido.Message("note_on", note=72, velocity=64, time=240),
        mido.Message("note_off", note=60, time=240),
        mido.Message("note_on", note=64, velocity=0, time=0),
        mido.Message("note_off", note=72, time=480),
    )
    events = read_bytes(data, name="x.mid").parts[0].staves[0].events
    assert [(len(e.pitches), e.onset, e.voice) for e in events] == [
        (2, 0, 1),
        (1, Fraction(1, 2), 2),
    ]


def test_times_are_rounded_to_what_can_be_written() -> None:
    assert quantise(2, 478, 480) == (0, 1)
    assert quantise(161, 322, 480) == (Fraction(1, 3), Fraction(2, 3))
    assert quantise(0, 3, 480) == (0, Fraction(1, 8))


def test_a_key_is_found_from_the_pitches() -> None:
    scale = (62, 64, 66, 67, 69, 71, 73)
    found = find_key(Sounding(Fraction(i), Fraction(i + 1), midi) for i, midi in enumerate(scale))
    assert found == Key.from_text("D")
