"""`harmony parse` from words to answer."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main

Printed = pytest.CaptureFixture[str]
TEXT = "D: I V6 | ii65 b3 V7 | I"


def test_the_json_is_the_function_s(capsys: Printed) -> None:
    assert main(["parse", TEXT, "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == harmony.parse(TEXT).to_json()
    assert [slot["figure"] for slot in printed["slots"]] == ["I", "V6", "ii65", "V7", "I"]
    assert printed["slots"][1] == {
        "bar": 1, "beat": 3, "offset": 2, "duration": 2, "key": "D", "figure": "V6",
        "root": "A", "quality": "maj", "bass": "C#", "pitches": ["C#", "A", "E"],
    }  # fmt: skip


def test_the_text_has_one_line_a_chord(capsys: Printed) -> None:
    assert main(["parse", TEXT]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 6
    assert lines[0].split()[:5] == ["bar", "beat", "quarters", "key", "chord"]
    assert lines[3].split() == ["2", "1", "2", "D", "ii65", "E", "min7", "G", "E", "B", "D"]


def test_key_and_meter_come_before_the_text_s_own(capsys: Printed) -> None:
    assert main(["parse", "I | V", "--key", "Eb", "--meter", "3/4", "--json"]) == 0
    slots = json.loads(capsys.readouterr().out)["slots"]
    assert [(slot["root"], slot["offset"], slot["duration"]) for slot in slots] == [
        ("Eb", 0, 3),
        ("Bb", 3, 3),
    ]


def test_a_chord_is_silent_where_none_is_named(capsys: Printed) -> None:
    assert main(["parse", "C | N.C. | G7"]) == 0
    assert "N.C." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["D: I Q"], "'Q'"),
        (["I V I"], "key"),
        ([""], "."),
        (["D: I", "--key", "H"], "'H'"),
        (["D: I", "--meter", "four"], "four"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(words: list[str], said: str, capsys: Printed) -> None:
    assert main(["parse", *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert said in err


def test_the_json_of_a_refusal_says_where(capsys: Printed) -> None:
    assert main(["parse", "D: I | Q", "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert "bar 2" in error["where"]


def test_the_chords_can_be_kept_as_a_score(tmp_path: Path, capsys: Printed) -> None:
    path = tmp_path / "chords.musicxml"
    assert main(["parse", TEXT, "-o", str(path)]) == 0
    assert b"<score-partwise" in path.read_bytes()
    assert main(["parse", TEXT, "-o", str(path)]) == 2
    assert "already there" in capsys.readouterr().err
