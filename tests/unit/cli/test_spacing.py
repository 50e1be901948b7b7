"""`harmony spacing` from words to answer."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main

Printed = pytest.CaptureFixture[str]


def test_the_json_is_the_function_s(capsys: Printed) -> None:
    assert main(["spacing", "C2", "G2", "E3", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == harmony.spacing("C2 G2 E3").to_json()
    assert main(["spacing", "C2 G2 E3", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == printed


def test_the_text_tells_root_and_fundamental_apart(capsys: Printed) -> None:
    assert main(["spacing", "C2 E2 G2 C3"]) == 0
    text = capsys.readouterr().out
    assert "fundamental  C0 (16.4 Hz), explains 4 of 4 notes; next best C1" in text
    assert "root         C\n" in text
    assert "roughest pairs: E2 and G2" in text
    assert "A major third on C2 lies 10 semitones below Bb2" in text


def test_how_long_and_loud_moves_the_findings(capsys: Printed) -> None:
    assert main(["spacing", "A2 C#3", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["low_interval_findings"]) == 1
    words = ["spacing", "A2 C#3", "--dynamic", "pp", "--seconds", "0.2", "--json"]
    assert main(words) == 0
    assert json.loads(capsys.readouterr().out)["low_interval_findings"] == []


def test_the_chord_is_written(tmp_path: Path, capsys: Printed) -> None:
    path = tmp_path / "chord.musicxml"
    assert main(["spacing", "C2 G2 E3 C4", "-o", str(path)]) == 0
    assert "<chord" in path.read_text(encoding="utf-8")
    assert "Written:" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["C4"], "One note (C4) has no spacing"),
        (["C4", "C4"], "C4 is there twice"),
        (["C4", "C11"], "beyond hearing"),
        (["C4", "E4", "--fundamental", "G4"], "lies above the lowest note"),
        (["C4", "E4", "--seconds", "long"], "--seconds takes a number above 0"),
        (["C4", "E4", "--dynamic", "loud"], "not a dynamic mark"),
        (["C4", "nonsense"], "'nonsense' is not a pitch"),
    ],
)
def test_bad_input_is_one_sentence(words: list[str], said: str, capsys: Printed) -> None:
    assert main(["spacing", *words, "--json"]) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.count("\n") == 1
    assert json.loads(printed.out)["error"]["message"] in printed.err
