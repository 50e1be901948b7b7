"""harmony harmonise: standard input, every bar told, wishes on the command line."""

from __future__ import annotations

import io
import json
from types import SimpleNamespace

import pytest

from harmony.cli.main import main
from harmony.reading.opening import read
from harmony.reading.theme import score_to_theme
from harmony.resources import find_corpora

TUNE = find_corpora("loom_hall", "pattern_drawer.abc")


def test_score_from_standard_input(monkeypatch, capsys):
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(TUNE.read_bytes())))
    assert main(["harmonise", "-", "--count", "1", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["key"] == "E"
    assert data["alternatives"][0]["chords"][0]["offset"] == 0


def test_every_bar_has_a_line(capsys):
    assert main(["harmonise", str(TUNE), "--count", "1"]) == 0
    lines = capsys.readouterr().out.splitlines()
    bars = [int(line.split()[0]) for line in lines if line.strip()[:1].isdigit() and "." not in
            line.split()[0]]  # fmt: skip
    assert bars == list(range(1, 17))


def test_wishes_on_the_command_line(capsys):
    words = ["--idiom", "modal, from bar 9 quartal", "--weight", "bass_line=2", "--count", "1"]
    assert main(["harmonise", str(TUNE), *words, "--json"]) == 0
    (one,) = json.loads(capsys.readouterr().out)["alternatives"]
    assert one["idiom"] == "modal, from bar 9 quartal"
    words = ["--cadences", "any", "half", "any", "full", "--count", "1"]
    assert main(["harmonise", str(TUNE), *words]) == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--weight", "bass=2"], "no cost of a harmonisation"),
        (["--cadences", "half"], "4 phrases"),
        (["--idiom", "modal, from bar 99 quartal"], "cannot change at bar 99"),
        (["--phrase-ends", "soon"], "not a time"),
    ],
)
def test_refusals(words, told, capsys):
    assert main(["harmonise", str(TUNE), *words]) == 2
    said = capsys.readouterr().err
    assert told in said
    assert said.count("\n") == 1


def answer(capsys, *words: str) -> dict:
    assert main(["harmonise", str(TUNE), "--bars", "1-4", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.fixture
def with_bass(tmp_path):
    """A score of a tune, one more part, and its bass."""
    path = tmp_path / "three.abc"
    path.write_text(
        "X:1\nT:Three\nM:4/4\nL:1/4\nK:C\n"
        "V:1\nc d e f|g4|\nV:2\nE F G A|B4|\nV:3\nC, B,, C, D,|G,,4|"
    )
    return path


def test_a_tune_that_is_the_bass_stands_under_every_chord(capsys):
    data = answer(capsys, "--given", "bass", "--count", "2")
    assert data["notices"] == ["It lies 2 octaves lower than written."]
    tune = score_to_theme(read(TUNE), bars="1-4").line.sounding
    for one in data["alternatives"]:
        for chord in one["chords"]:
            note = next(n for n in tune if n.onset <= chord["offset"] < n.end)
            assert chord["bass"] == note.pitch.pitch_class


def test_an_inner_tune_is_heard_inside(tmp_path, capsys):
    path = tmp_path / "inner.musicxml"
    words = ["--given", "inner", "--count", "1", "--for", "string quartet", "--tune-in", "Viola"]
    data = answer(capsys, *words, "-o", str(path))
    assert data["voiced"]["told"].startswith("Voiced for string quartet, the tune in Viola.")
    written = score_to_theme(read(path), part="Viola")
    tune = score_to_theme(read(TUNE), bars="1-4")
    assert [note.onset for note in written.line.sounding] == [n.onset for n in tune.line.sounding]
    names = [str(note.pitch.name) for note in written.line.sounding]
    assert names == [str(note.pitch.name) for note in tune.line.sounding]


def test_a_bass_is_another_part_of_the_score_or_another_score(with_bass, tmp_path, capsys):
    bass = tmp_path / "bass.abc"
    bass.write_text("X:1\nM:4/4\nL:1/4\nK:C\nC, B,, C, D,|G,,4|")
    found = []
    for words in (["--given", "both"], ["--bass", "3"], ["--bass", str(bass)]):
        assert main(["harmonise", str(with_bass), *words, "--count", "1", "--json"]) == 0
        (one,) = json.loads(capsys.readouterr().out)["alternatives"]
        assert one["chords"][0]["bass"] == 0
        assert one["chords"][-1]["bass"] == 7
        found.append(one["chords"])
    assert found[0] == found[1] == found[2]
    path = tmp_path / "both.musicxml"
    assert main(["harmonise", str(with_bass), "--bass", "3", "--count", "1", "-o", str(path)]) == 0
    assert [part.name for part in read(path).parts][-1] == "Bass"


def test_a_counter_melody_is_told_and_written(tmp_path, capsys):
    path = tmp_path / "two.musicxml"
    data = answer(capsys, "--counter-melody", "--count", "1", "-o", str(path))
    (one,) = data["alternatives"]
    line = score_to_theme(read(path), part="Counter-melody").line.sounding
    assert [str(note.pitch) for note in line] == [note["pitch"] for note in one["counter_melody"]]
    assert main(["harmonise", str(TUNE), "--bars", "1-4", "--counter-melody", "--count", "1"]) == 0
    assert f"Counter-melody: 1 {line[0].pitch}" in capsys.readouterr().out


def test_any_alternative_is_written(tmp_path, capsys):
    path = tmp_path / "second.musicxml"
    data = answer(capsys, "--count", "2", "--alternative", "2", "-o", str(path))
    assert read(path).title.endswith(data["alternatives"][1]["name"])
    assert len(data["alternatives"]) == 2


def test_a_held_note_reaches_the_players(tmp_path, capsys):
    path = tmp_path / "held.musicxml"
    words = ["--idiom", "pedal", "--key", "E", "--count", "3", "--alternative", "3"]
    words += ["--for", "string quintet"]
    data = answer(capsys, *words, "-o", str(path))
    assert [one["pitch"] for one in data["alternatives"][2]["held"]] == ["E", "B"]
    assert "B, held through the chords, lies in Viola 2." in data["voiced"]["told"]
    (note,) = score_to_theme(read(path), part="Viola 2").line.sounding
    assert (str(note.pitch.name), note.duration) == ("B", 12)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--given", "both"], "no other part for the bass"),
        (["--bass", "nothing"], "neither a part of the score nor a score"),
        (["--bass", "1"], "no other part for the bass"),
        (["--given", "bass", "--bass", "1"], "leave one of the two out"),
        (["--given", "tenor"], "choose from"),
        (["--given", "bass", "--idiom", "quartal"], "makes its own bass"),
        (["--given", "bass", "--counter-melody"], "written to a melody"),
        (["--given", "inner", "--cadences", "full"], "leave --cadences out"),
        (["--alternative", "9"], "There is no alternative 9"),
        (["--tune-in", "Viola"], "--for says which players"),
        (["--for", "piano", "--tune-in", "Viola"], "no voice 'Viola'"),
    ],
)
def test_refusals_of_what_is_given(words, told, capsys):
    assert main(["harmonise", str(TUNE), "--bars", "1-4", "--count", "1", *words]) == 2
    said = capsys.readouterr().err
    assert told in said
    assert said.count("\n") == 1
