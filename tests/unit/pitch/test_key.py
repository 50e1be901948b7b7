"""Keys: signatures and scales of every mode."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName


@pytest.mark.parametrize(
    ("text", "fifths", "scale"),
    [
        ("C", 0, "C D E F G A B"),
        ("a", 0, "A B C D E F G"),
        ("Abb", -11, "Abb Bbb Cb Dbb Ebb Fb Gb"),
        ("d#", 6, "D# E# F# G# A# B C#"),
        ("D dorian", 0, "D E F G A B C"),
        ("Ddor", 0, "D E F G A B C"),
        ("F lydian", 0, "F G A B C D E"),
        ("E phrygian", 0, "E F G A B C D"),
        ("G mixolydian", 0, "G A B C D E F"),
        ("B locrian", 0, "B C D E F G A"),
        ("E phrygian dominant", 0, "E F G# A B C D"),
        ("Dm", -1, "D E F G A Bb C"),
        ("Eb major", -3, "Eb F G Ab Bb C D"),
        ("C aeolian", -3, "C D Eb F G Ab Bb"),
        ("DM", 2, "D E F# G A B C#"),
    ],
)
def test_signature_and_scale(text: str, fifths: int, scale: str) -> None:
    key = Key.from_text(text)
    assert key.fifths == fifths
    assert " ".join(str(name) for name in key.scale) == scale
    assert Key.from_text(str(key)) == key


def test_minor_modes_have_a_minor_third() -> None:
    assert Key.from_text("D dorian").is_minor
    assert not Key.from_text("D lydian").is_minor


@pytest.mark.parametrize("text", ["", "H", "C happy", "1", "Cb b", "D dorianish minor"])
def test_what_is_no_key_is_told(text: str) -> None:
    with pytest.raises(HarmonyError, match="is not a key"):
        Key.from_text(text)


def test_values_check_themselves() -> None:
    with pytest.raises(HarmonyError, match="not a mode"):
        Key(PitchName("C"), "odd")
    with pytest.raises(HarmonyError, match="scale degree"):
        Key(PitchName("C")).degree(8)
    assert str(Key(PitchName("C")).degree(7, -1)) == "Bb"
