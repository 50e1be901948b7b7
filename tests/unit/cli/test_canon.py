from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main
from harmony.resources import find_corpora

SHUTTLE = str(find_corpora("loom_hall", "shuttle.abc"))


def test_three_voices_over_chords_are_told_with_their_faults(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ["canon", SHUTTLE, "--voices", "3", "--over", "Dm7 | G7 | Dm7 | C"]
    assert main(words) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("  1. 3 voices: ")
    assert said[0].endswith("no fault")
    assert main([*words, "--json"]) == 0
    first = json.loads(capsys.readouterr().out)["canons"][0]
    assert first["faults"] == []
    assert len(first["entries"]) == 2
    assert len(first["pair_scores"]) == 6


def test_distances_can_be_coarser_or_finer(capsys: pytest.CaptureFixture[str]) -> None:
    delays = {}
    for every in ("2", "1/4"):
        assert main(["canon", SHUTTLE, "--bars", "1-2", "--distances", every, "--json"]) == 0
        found = json.loads(capsys.readouterr().out)["canons"]
        delays[every] = {canon["delay"] for canon in found}
    assert delays["2"] <= {0, 2, 4, 6, 8}
    assert not delays["1/4"] <= delays["2"]
    theme = harmony.open_theme(SHUTTLE, bars="1-2")
    assert harmony.canon(theme, spacing=Fraction(1, 4)).cells == 29 * 4 * 3 * 33


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--distances", "0"], "--distances takes quarters from 1/16 to 16"),
        (["--distances", "1/0"], "--distances takes quarters from 1/16 to 16"),
        (["--voices", "5"], "from 2 to 4 voices"),
        (["--over", "Zz"], "'Zz' is not a chord"),
        (["--over", "C", "--ground", SHUTTLE], "either a ground or a progression"),
        (["--judge", "kind"], "strict, tonal or free"),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["canon", SHUTTLE, *words]) == 2
    told = capsys.readouterr().err.strip()
    assert said in told
    assert "\n" not in told


def test_the_first_of_several_parts_is_taken_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    both = tmp_path / "both.abc"
    both.write_text("X:1\nM:4/4\nL:1/4\nK:D\nV:1\nDEFG|AGFE|\nV:2\nD4|C4|\n", encoding="utf-8")
    assert main(["vary", str(both), "--by", "retrograde", "--json"]) == 0
    told = capsys.readouterr()
    assert "The score has 2 parts; the first" in told.err
    assert len(json.loads(told.out)["notes"]) == 8
    assert main(["vary", str(both), "--part", "2", "--by", "retrograde", "--json"]) == 0
    told = capsys.readouterr()
    assert told.err == ""
    assert len(json.loads(told.out)["notes"]) == 2


def test_where_nothing_goes_well_enough_the_nearest_is_told(tmp_path, capsys):
    night = str(find_corpora("loom_hall", "night_shift.abc"))
    assert main(["canon", night, "--voices", "3"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("No canon in 3 voices of this theme goes well enough to offer. The near")
    assert "7 faults; bar 9 beat 1 2/3: minor second E5-F5" in said
    assert main(["canon", night, "--voices", "3", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"canons": []}
    into = tmp_path / "three.musicxml"
    assert main(["canon", night, "--voices", "3", "-o", str(into)]) == 2
    assert "goes well enough to offer" in capsys.readouterr().err
    assert not into.exists()
