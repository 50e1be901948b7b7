"""Played notes get the names their key asks for; a melody's those of its motion."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch
from harmony.workbench.entering.reading import read_played, read_spelled
from harmony.workbench.entering.spelling import names_of, next_name, spell_melody, spell_note
from harmony.workbench.entering.words import key_names, name_key, name_to_key

# The twelve major and twelve minor keys of common practice.
MAJOR = ("C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F")
MINOR = ("a", "e", "b", "f#", "c#", "g#", "d#", "bb", "f", "c", "g", "d")
KEYS = MAJOR + MINOR


def played(numbers: list[int], key: str) -> set[str]:
    """Give the names of the first meaning."""
    return {str(pitch.name) for pitch in read_played(numbers, Key.from_text(key))[0].pitches}


def at(key: Key, *steps: int) -> list[int]:
    """Give MIDI numbers from the tonic in the octave of middle C."""
    return [60 + key.tonic.pitch_class + step for step in steps]


@pytest.mark.parametrize("name", KEYS)
def test_every_note_of_the_scale_has_its_own_name(name: str) -> None:
    key = Key.from_text(name)
    for degree in key.scale:
        assert spell_note(60 + degree.pitch_class, key).name == degree


@pytest.mark.parametrize("name", KEYS)
def test_every_triad_of_the_scale_is_spelled_in_thirds(name: str) -> None:
    key = Key.from_text(name)
    for first in range(7):
        wanted = [key.scale[(first + step) % 7] for step in (0, 2, 4)]
        numbers = [60 + wanted[0].pitch_class]
        for member in wanted[1:]:
            numbers.append(numbers[-1] + (member.pitch_class - numbers[-1]) % 12)
        assert played(numbers, name) == {str(member) for member in wanted}


@pytest.mark.parametrize("name", MINOR)
def test_the_dominant_seventh_of_a_minor_key_has_its_leading_tone(name: str) -> None:
    key = Key.from_text(name)
    wanted = {key.degree(5), key.degree(7, 1), key.degree(2), key.degree(4)}
    assert played(at(key, 7, 11, 14, 17), name) == {str(member) for member in wanted}


@pytest.mark.parametrize("name", MINOR)
def test_the_leading_tone_seventh_chord_is_that_of_the_key_in_every_inversion(name: str) -> None:
    key = Key.from_text(name)
    wanted = {key.degree(7, 1), key.degree(2), key.degree(4), key.degree(6)}
    for steps in ((11, 14, 17, 20), (2, 5, 8, 11), (5, 8, 11, 14), (8, 11, 14, 17)):
        assert played(at(key, *steps), name) == {str(member) for member in wanted}


@pytest.mark.parametrize("name", KEYS)
def test_the_neapolitan_is_on_the_lowered_second_degree(name: str) -> None:
    key = Key.from_text(name)
    steps = (5, 8, 13)
    lowered = key.degree(2, -1)
    sixth = key.degree(6) if key.is_minor else key.degree(6, -1)
    assert played(at(key, *steps), name) == {str(key.degree(4)), str(sixth), str(lowered)}


@pytest.mark.parametrize("name", KEYS)
@pytest.mark.parametrize("steps", [(8, 12, 18), (8, 12, 15, 18), (8, 12, 14, 18)])
def test_augmented_sixths_have_the_raised_fourth_degree(name: str, steps: tuple[int, ...]) -> None:
    key = Key.from_text(name)
    names = played(at(key, *steps), name)
    assert str(key.degree(4, 1)) in names
    assert str(key.degree(6) if key.is_minor else key.degree(6, -1)) in names


def test_in_d_minor_c_sharp_and_b_flat() -> None:
    assert played([57, 61, 64, 70], "d") == {"A", "C#", "E", "Bb"}


@pytest.mark.parametrize(
    ("key", "numbers", "names"),
    [
        ("C", [60, 61, 62], "C4 C#4 D4"),
        ("C", [62, 61, 60], "D4 Db4 C4"),
        ("C", [67, 66, 67], "G4 F#4 G4"),
        ("C", [67, 68, 67], "G4 Ab4 G4"),
        ("a", [64, 66, 68, 69, 67, 65, 64], "E4 F#4 G#4 A4 G4 F4 E4"),
        ("a", [69, 68, 67], "A4 G#4 G4"),
        ("d", [62, 61, 62], "D4 C#4 D4"),
        ("Eb", [70, 71, 72], "Bb4 B4 C5"),
        ("C", [60, 61, 61, 62], "C4 C#4 C#4 D4"),
    ],
)
def test_a_melody_is_raised_rising_and_lowered_falling(
    key: str, numbers: list[int], names: str
) -> None:
    spelled = spell_melody(numbers, Key.from_text(key))
    assert " ".join(str(pitch) for pitch in spelled) == names


def test_rests_in_a_melody_stay_rests() -> None:
    assert spell_melody([None, 60, None], Key.from_text("C")) == (None, Pitch("C", 0, 4), None)


@pytest.mark.parametrize("name", KEYS)
def test_respelling_goes_round_without_moving_the_sound(name: str) -> None:
    key = Key.from_text(name)
    for number in range(60, 72):
        pitch = first = spell_note(number, key)
        seen = []
        for _ in names_of(number % 12, key):
            seen.append(pitch)
            pitch = next_name(pitch, key)
            assert pitch.midi == number
        assert pitch == first
        assert len(set(seen)) == len(seen) >= 2


def test_one_note_respelled_changes_what_the_chord_is() -> None:
    key = Key.from_text("C")
    first = read_played([56, 60, 63, 66], key)[0]
    assert first.chord is not None
    assert first.chord.quality.name == "ger6"
    lowered = [next_name(p, key) if p.midi == 66 else p for p in first.pitches]
    second = read_spelled(lowered, key)
    assert second.chord is not None
    assert second.chord.quality.name == "dom7"


def test_what_is_no_midi_number_is_refused() -> None:
    with pytest.raises(HarmonyError, match="128 is not a MIDI note number; they go from 0 to 127"):
        read_played([60, 128], Key.from_text("C"))
    with pytest.raises(HarmonyError, match="No notes are held"):
        read_played([], Key.from_text("C"))


def test_keys_are_named_and_read_back() -> None:
    assert len(key_names()) == len(set(key_names())) == 30
    for name in key_names():
        assert name_key(name_to_key(name)) == name
        assert abs(name_to_key(name).fifths) <= 7
