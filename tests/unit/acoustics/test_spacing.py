"""``harmony.spacing``: the facts, the JSON, the sentences for bad input."""

from __future__ import annotations

import json

import pytest

import harmony
from harmony.acoustics.notes import drop_doubles
from harmony.acoustics.series import harmonic_series, place_in_series, skipped_partials
from harmony.acoustics.spectrum import spectrum
from harmony.acoustics.tertian import theoretical_root
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch, PitchName

WIDE = "C2 G2 E3 C4 G4 E5"


def test_a_wide_chord_sits_on_its_series() -> None:
    found = harmony.spacing(WIDE)
    assert str(found.fundamental) == "C1"
    assert str(found.root) == "C"
    assert [one.partial for one in found.placed] == [2, 3, 5, 8, 12, 20]
    assert found.low_intervals == ()
    assert found.skipped[:3] == (4, 6, 7)
    assert found.support > found.runner_up_support


def test_the_same_names_close_together_below_are_thick() -> None:
    close = harmony.spacing("C2 E2 G2 C3 E3 G3")
    wide = harmony.spacing(WIDE)
    assert close.roughness > wide.roughness
    assert close.low_intervals
    assert close.low_intervals[0].message.startswith("A major third on C2 lies")


def test_root_and_fundamental_are_two_facts() -> None:
    minor = harmony.spacing("D3 F3 Bb3")
    assert str(minor.root) == "Bb"
    sharp = harmony.spacing("F#3 A#3 C#4")
    assert str(sharp.fundamental) == "F#1"
    quartal = harmony.spacing("F2 Bb2 Eb3 Ab3")
    assert quartal.fundamental.name != quartal.root


def test_json_has_the_designed_keys() -> None:
    data = harmony.spacing("C2 E2 G2 C3").to_json()
    assert list(data) == [
        "fundamental", "fundamental_hz", "root", "notes", "roughness", "harmonicity",
        "low_interval_findings",
    ]  # fmt: skip
    assert list(data["notes"][0]) == ["pitch", "partial", "cents"]
    assert [note["pitch"] for note in data["notes"]] == ["C2", "E2", "G2", "C3"]
    assert 0 < data["harmonicity"] <= 1
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_text_pitches_and_numbers_say_the_same() -> None:
    text = harmony.spacing("E3, C2 G2").to_json()
    assert harmony.spacing("{C2 G2 E3}").to_json() == text
    assert harmony.spacing(["C2", Pitch.from_text("G2"), 52]).to_json() == text


def test_a_chosen_fundamental() -> None:
    found = harmony.spacing(WIDE, fundamental="C0")
    assert [one.partial for one in found.placed] == [4, 6, 10, 16, 24, 40]
    assert str(found.runner_up) == "C1"
    assert found.support < harmony.spacing(WIDE).support


def test_players_change_the_roughness_not_the_series() -> None:
    plain = harmony.spacing("C3 E3 G3")
    brassy = harmony.spacing("C3 E3 G3", spectra=[spectrum("trombone", "ff")] * 3, dynamic="ff")
    assert brassy.roughness > plain.roughness
    assert brassy.fundamental == plain.fundamental
    with pytest.raises(HarmonyError, match="one a note is accepted"):
        harmony.spacing("C3 E3 G3", spectra=[spectrum("horn")])


@pytest.mark.parametrize(
    ("notes", "words"),
    [
        ("", "There is no note"),
        ("C4", r"One note \(C4\) has no spacing"),
        ("C4 E4 C4", "C4 is there twice"),
        ("C#4 Db4", "C#4 is there twice, as C#4 and Db4"),
        ("C4 C11", "C11 is beyond hearing; notes from C0 to B9"),
        ([3, 60], "MIDI number 3 is beyond hearing"),
        (list(range(40, 80)), "40 notes are more than can be shown"),
        ("C4 E", "'E' is not a pitch"),
        ("C4 H4", "'H4' is not a pitch"),
        ([60, 64.5], r"cannot take 64.5 \(float\) in 'notes'"),
        ([True, 60], "cannot take True in 'notes'"),
        (60, r"cannot take 60 \(int\) as 'notes'"),
    ],
)
def test_bad_notes_get_one_sentence(notes: object, words: str) -> None:
    with pytest.raises(HarmonyError, match=words) as raised:
        harmony.spacing(notes)
    assert raised.value.message.endswith(".")
    assert "accepted" in raised.value.message or "write a name" in raised.value.message


def test_a_fundamental_above_the_chord_is_refused() -> None:
    with pytest.raises(HarmonyError, match="F4 lies above the lowest note, C4"):
        harmony.spacing("C4 G4", fundamental="F4")


def test_one_alternative_only() -> None:
    found = harmony.spacing(WIDE)
    assert len(found.to_rows()) == 6
    assert found.to_score().parts[0].staves
    with pytest.raises(HarmonyError, match="one alternative"):
        found.to_rows(2)


def test_shared_notes_are_heard_once() -> None:
    notes = [Pitch.from_text(name) for name in ("E4", "C4", "E4", "Db4", "C#4")]
    assert [str(pitch) for pitch in drop_doubles(notes)] == ["C4", "Db4", "E4"]


def test_the_series_keeps_the_letter_of_its_fundamental() -> None:
    names = [str(one.nearest.name) for one in harmonic_series(Pitch.from_text("Gb1"), 10)]
    assert names == ["Gb", "Gb", "Db", "Gb", "Bb", "Db", "Fb", "Gb", "Ab", "Bb"]
    with pytest.raises(HarmonyError, match="1 to 32 are accepted"):
        harmonic_series(Pitch.from_text("C1"), 33)


def test_nothing_is_skipped_where_nothing_fits() -> None:
    placed = place_in_series([Pitch.from_text("C#4")], Pitch.from_text("C4"))
    assert not placed[0].is_in_series
    assert skipped_partials(placed) == ()


@pytest.mark.parametrize(
    ("names", "root"),
    [
        ("C E G", "C"), ("E G C", "C"), ("G C E", "C"), ("C Eb G", "C"), ("B D F A", "B"),
        ("F G B D", "G"), ("C F G", "C"), ("F# A C Eb", "F#"), ("A C Eb F#", "F#"),
        ("C E G# B D", "C"), ("Bb D F Ab C", "Bb"),
    ],
)  # fmt: skip
def test_theoretical_root(names: str, root: str) -> None:
    found = theoretical_root([PitchName.from_text(name) for name in names.split()])
    assert str(found) == root
