"""Ensembles by name, from a file, and joined."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.instruments.catalogue import (
    ensemble,
    ensemble_names,
    instrument,
    instrument_names,
    instruments,
)

DESIGNED = (
    "SATB choir", "string quartet", "string quintet", "string orchestra", "horn quartet",
    "trombones and tuba", "brass quintet", "woodwind quintet", "woodwind choir", "clarinet choir",
    "saxophone quartet", "piano",
)  # fmt: skip
OWN = """
name = "two oboes and horn"
preset = "woodwinds"
gaps = [12, 19]

[[voices]]
name = "First oboe"
instrument = "oboe"
high = "A5"

[[voices]]
name = "Second oboe"
instrument = "oboe"

[[voices]]
name = "Horn"
instrument = "horn"
"""


@pytest.mark.parametrize("name", DESIGNED)
def test_every_designed_ensemble_is_there_in_any_case(name: str) -> None:
    found = ensemble(name.upper())
    assert found.name == name
    assert found.source
    assert ensemble(found) is found
    for voice in found.voices:
        played = voice.player.instrument
        assert played.has_in_range(voice.low)
        assert played.has_in_range(voice.high)
    tops = [voice.high.midi for voice in found.voices]
    assert tops == sorted(tops, reverse=True)


def test_satb_has_the_published_registers() -> None:
    # three part-writing hand-outs give this set (tables/04a set A)
    choir = ensemble("SATB choir")
    assert [(v.name, str(v.low), str(v.high)) for v in choir.voices] == [
        ("Soprano", "C4", "G5"),
        ("Alto", "G3", "C5"),
        ("Tenor", "C3", "G4"),
        ("Bass", "E2", "C4"),
    ]
    assert choir.gaps == (12, 12, 24)


def test_a_piano_lies_on_two_staves_within_a_hand() -> None:
    piano = ensemble("piano")
    assert [name for name, _ in piano.staves] == ["Right hand", "Left hand"]
    assert piano.spans == (("right hand", (0, 1, 2), 12),)


def test_own_file(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(OWN, encoding="utf-8")
    for given in (path, str(path)):
        found = ensemble(given)
        assert [v.name for v in found.voices] == ["First oboe", "Second oboe", "Horn"]
        # without a register of its own a voice keeps where its player is at ease
        assert (str(found.voices[0].low), str(found.voices[0].high)) == ("D4", "A5")
        assert (str(found.voices[2].low), str(found.voices[2].high)) == ("F2", "C5")
    joined = ensemble(f"{path} + piano")
    assert len(joined) == 7
    assert [name for name, _ in joined.groups] == ["two oboes and horn", "piano"]


def test_joined_voices_run_downward_and_stand_in_score_order() -> None:
    joined = ensemble("string quartet + horn quartet")
    middles = [v.low.midi + v.high.midi for v in joined.voices]
    assert middles == sorted(middles, reverse=True)
    inside = dict(joined.groups)
    for name, part in (("string quartet", "Violin"), ("horn quartet", "Horn")):
        assert any(joined.voices[i].name.startswith(part) for i in inside[name])
        assert list(inside[name]) == sorted(inside[name])
    in_score = [joined.voices[i].name for i in joined.score_order]
    assert in_score[:4] == ["Horn 1", "Horn 2", "Horn 3", "Horn 4"]
    assert in_score[4:] == ["Violin 1", "Violin 2", "Viola", "Cello"]


def test_joining_twice_the_same_tells_the_voices_apart() -> None:
    joined = ensemble("horn quartet + horn quartet")
    assert len({voice.name for voice in joined.voices}) == 8
    assert [name for name, _ in joined.groups] == ["horn quartet 1", "horn quartet 2"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("strng quartet", "did you mean 'string quartet'"),
        ("string quartet + ", "lacks the name of an ensemble beside the plus sign"),
        ("", "lacks the name of an ensemble"),
        ("nowhere.toml", "There is no file"),
    ],
)
def test_unknown_ensembles_get_one_sentence(name: str, words: str) -> None:
    with pytest.raises(HarmonyError) as raised:
        ensemble(name)
    assert words in raised.value.message
    assert "\n" not in raised.value.message


def test_an_unknown_instrument_gets_a_near_suggestion() -> None:
    with pytest.raises(HarmonyError, match="did you mean 'clarinet'"):
        instrument("clarinete")
    assert instrument("Cor Anglais").name == "english horn"
    assert instrument("B♭ clarinet") is instrument("clarinet in bb")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('instrument = "horn"', 'instrument = "hron"', "did you mean 'horn'"),
        ('high = "A5"', 'high = "C8"', "goes beyond what sounds on oboe"),
        ('high = "A5"', 'high = "C4"', "upside down"),
        ('high = "A5"', 'high = "H5"', "'H5' is not a pitch"),
        ("gaps = [12, 19]", "gaps = [12]", "3 voices take 2"),
        ("gaps = [12, 19]", 'gaps = "wide"', "a list of semitones"),
        ('preset = "woodwinds"', 'preset = "woods"', "did you mean 'woodwinds'"),
        ('name = "Second oboe"', 'name = "First oboe"', "the same name"),
        ('name = "Second oboe"', 'nmae = "Second oboe"', "is no word for a voice"),
        ('name = "two oboes and horn"', "", "the ensemble has no name"),
        ('preset = "woodwinds"', "preset = ", "cannot be read as TOML"),
        ("gaps = [12, 19]", '[[groups]]\nname = "x"\nvoices = ["Tuba"]', "none of the voices"),
        ("gaps = [12, 19]", '[[groups]]\nname = "x"\nvoices = 3', "a list of their names"),
        ("gaps = [12, 19]", '[[groups]]\nname = "x"\nvoices = "Horn"', "a list of their names"),
    ],
)
def test_faults_in_a_file_are_told_with_the_file(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    assert old in OWN
    path = tmp_path / "mine.toml"
    path.write_text(OWN.replace(old, new), encoding="utf-8")
    with pytest.raises(HarmonyError) as raised:
        ensemble(path)
    assert words in raised.value.message
    assert str(path) in raised.value.message


def test_a_folder_is_no_ensemble(tmp_path: Path) -> None:
    folder = tmp_path / "x.toml"
    folder.mkdir()
    with pytest.raises(HarmonyError, match="cannot be opened"):
        ensemble(folder)


def test_a_shipped_file_is_called_by_its_ensemble() -> None:
    for name in ensemble_names():
        assert ensemble(name).name == name


def test_every_instrument_is_known_by_all_its_names() -> None:
    for name in instrument_names():
        assert instrument(name.upper()) in instruments()
