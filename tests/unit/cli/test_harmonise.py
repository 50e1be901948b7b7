"""harmony harmonise: standard input, every bar told, wishes on the command line."""

from __future__ import annotations

import io
import json
from types import SimpleNamespace

import pytest

from harmony.cli.main import main
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
