"""Names, pitches and intervals: letters are kept, faults are told."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch, PitchName, name_at_fifths


@pytest.mark.parametrize(
    ("text", "letter", "alter"),
    [
        ("C", "C", 0),
        ("f#", "F", 1),
        ("Bb", "B", -1),
        ("Abb", "A", -2),
        ("Gx", "G", 2),
        ("E♭", "E", -1),
        ("D𝄪", "D", 2),
        ("C##", "C", 2),
    ],
)
def test_names_in_every_way_of_writing(text: str, letter: str, alter: int) -> None:
    assert PitchName.from_text(text) == PitchName(letter, alter)


def test_names_stand_on_the_line_of_fifths() -> None:
    line = ["Fb", "Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
    assert [str(PitchName.from_fifths(n)) for n in range(-8, 8)] == line
    assert [PitchName.from_text(name).fifths for name in line] == list(range(-8, 8))
    assert name_at_fifths(6) == PitchName("F", 1)


@pytest.mark.parametrize(
    ("text", "midi"),
    [("C4", 60), ("A4", 69), ("Bb3", 58), ("B#3", 60), ("Cb4", 59), ("C-1", 0), ("Fb5", 76)],
)
def test_midi_numbers(text: str, midi: int) -> None:
    pitch = Pitch.from_text(text)
    assert pitch.midi == midi
    assert pitch.pitch_class == midi % 12
    assert pitch.name.at_midi(midi) == pitch


def test_a_name_cannot_sound_at_another_midi_number() -> None:
    with pytest.raises(HarmonyError, match="C does not sound at MIDI number 61"):
        PitchName("C").at_midi(61)


@pytest.mark.parametrize("text", ["", "H", "C#b4x", "C", "4", "C44444"])
def test_what_is_no_pitch_is_told(text: str) -> None:
    with pytest.raises(HarmonyError, match=r"is not a pitch|beyond hearing"):
        Pitch.from_text(text)


def test_values_check_themselves() -> None:
    for build in (lambda: PitchName("H"), lambda: PitchName("C", 8), lambda: Pitch("C", 0, 13)):
        with pytest.raises(HarmonyError):
            build()


@pytest.mark.parametrize(
    ("name", "steps", "semitones"),
    [
        ("P1", 0, 0),
        ("m2", 1, 1),
        ("M3", 2, 4),
        ("P4", 3, 5),
        ("A4", 3, 6),
        ("d5", 4, 6),
        ("P5", 4, 7),
        ("m7", 6, 10),
        ("d7", 6, 9),
        ("P8", 7, 12),
        ("M10", 9, 16),
        ("A1", 0, 1),
        ("-m3", -2, -3),
        ("-P8", -7, -12),
        ("AA4", 3, 7),
        ("dd7", 6, 8),
    ],
)
def test_interval_names(name: str, steps: int, semitones: int) -> None:
    interval = Interval.from_text(name)
    assert (interval.steps, interval.semitones) == (steps, semitones)
    assert interval.name == str(interval) == name


@pytest.mark.parametrize("text", ["P3", "M5", "m4", "X2", "P0", "", "A"])
def test_what_is_no_interval_is_told(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not an interval"):
        Interval.from_text(text)


def test_moving_keeps_the_spelling() -> None:
    assert str(transpose(Pitch.from_text("F#4"), Interval.from_text("d5"))) == "C5"
    assert str(transpose(PitchName.from_text("Bb"), Interval.from_text("M3"))) == "D"
    assert str(transpose(Pitch.from_text("C4"), Interval.from_text("-m2"))) == "B3"
    assert str(transpose(PitchName.from_text("C"), Interval.from_text("-M2"))) == "Bb"
    assert Interval.from_text("M3") + Interval.from_text("m3") == Interval.from_text("P5")
    assert Interval.between_names(PitchName("B"), PitchName("C")) == Interval(1, 1)
