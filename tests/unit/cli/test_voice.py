"""`harmony voice` from words to answer."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main

Printed = pytest.CaptureFixture[str]
TEXT = "D: I V6 | ii65 V7 | I"
CHOIR = ["--for", "SATB choir"]


def test_the_json_is_the_function_s(capsys: Printed) -> None:
    assert main(["voice", TEXT, *CHOIR, "--count", "3", "--unlike", "1", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert printed == harmony.voice(TEXT, "SATB choir", count=3, unlike=1).to_json()
    assert printed["voices"] == ["Soprano", "Alto", "Tenor", "Bass"]
    for alternative in printed["alternatives"]:
        assert alternative["status"] == "optimal"
        by_slot = sum(sum(slot["terms"].values()) for slot in alternative["slots"])
        assert alternative["cost"] == pytest.approx(sum(alternative["terms"].values()))
        assert alternative["cost"] == pytest.approx(by_slot)


def test_the_text_shows_bars_voices_and_costs_in_words(capsys: Printed) -> None:
    assert main(["voice", TEXT, *CHOIR, "--count", "2"]) == 0
    shown = capsys.readouterr().out
    best = harmony.voice(TEXT, "SATB choir").alternatives[0]
    assert shown.startswith("SATB choir\n")
    assert re.search(rf"^A  cost {best.cost:g}, proven: nothing cheaper", shown, re.MULTILINE)
    assert re.search(r"^B  cost .*proven the next best", shown, re.MULTILINE)
    assert re.search(r"bar +beat +chord +Soprano +Alto +Tenor +Bass +cost +of which", shown)
    first = " ".join(str(pitch) for pitch in best.pitches[0])
    assert re.search(rf"^ +1 +1  I +{first.replace(' ', ' +')} ", shown, re.MULTILINE)
    assert "motion" in shown
    assert "_" not in shown


def test_fewer_than_asked_for_is_said(capsys: Printed) -> None:
    pins = ["S=F#4", "A=D4", "T=A3", "B=D3"]
    names = dict(zip("SATB", ("Soprano", "Alto", "Tenor", "Bass"), strict=True))
    words = [word for pin in pins for word in ("--pin", f"1.1 {names[pin[0]]}{pin[1:]}")]
    assert main(["voice", "D: I", *CHOIR, "--count", "2", *words]) == 0
    assert "2 voicings asked for, 1 exist" in capsys.readouterr().out


def test_every_option_reaches_the_function(capsys: Printed) -> None:
    words = [
        "--preset", "chorale", "--weight", "leaps=3", "--weight", "motion=0",
        "--pin", "1.1 Soprano=F#5", "--register", "Tenor=C3-E4",
    ]  # fmt: skip
    assert main(["voice", TEXT, *CHOIR, *words, "--json"]) == 0
    expected = harmony.voice(
        TEXT,
        "SATB choir",
        preset="chorale",
        weights={"leaps": 3, "motion": 0},
        pins=["1.1 Soprano=F#5"],
        registers={"Tenor": "C3-E4"},
    )
    printed = json.loads(capsys.readouterr().out)
    assert printed == expected.to_json()
    (alternative,) = printed["alternatives"]
    assert alternative["slots"][0]["pitches"][0] == "F#5"
    assert alternative["terms"]["motion"] == 0


def test_text_comes_from_a_file_or_standard_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    path = tmp_path / "sketch.txt"
    path.write_text(TEXT)
    assert main(["voice", str(path), *CHOIR]) == 0
    from_file = capsys.readouterr().out
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(TEXT.encode())))
    assert main(["voice", "-", *CHOIR]) == 0
    assert capsys.readouterr().out == from_file


def test_a_silent_chord_has_no_pitches(capsys: Printed) -> None:
    assert main(["voice", "C | N.C. | G7 | C", *CHOIR]) == 0
    assert re.search(r"N\.C\. +- +- +- +-", capsys.readouterr().out)


def test_the_score_is_written_and_never_over_another(tmp_path: Path, capsys: Printed) -> None:
    path = tmp_path / "hymn.musicxml"
    words = ["voice", TEXT, *CHOIR, "-o", str(path)]
    assert main(words) == 0
    assert f"Written: {path}" in capsys.readouterr().out
    first = path.read_bytes()
    assert b"<score-partwise" in first
    assert main([*words, "--count", "2"]) == 2
    assert path.read_bytes() == first
    assert "already there" in capsys.readouterr().err
    path.write_bytes(b"something of the composer's")
    assert main([*words, "--force"]) == 0
    assert b"<score-partwise" in path.read_bytes()


_HEADS = [(".pdf", b"%PDF"), (".png", b"\x89PNG"), (".svg", b"<svg"), (".mid", b"MThd")]


@pytest.mark.parametrize(("ending", "head"), _HEADS)
def test_pages_are_drawn_by_the_ending(tmp_path: Path, ending: str, head: bytes) -> None:
    path = tmp_path / f"hymn{ending}"
    assert main(["voice", TEXT, *CHOIR, "-o", str(path)]) == 0
    assert path.read_bytes().startswith(head)
    assert main(["voice", TEXT, *CHOIR, "-o", str(path)]) == 2


def test_a_score_is_written_for_its_players_or_at_concert_pitch(tmp_path: Path) -> None:
    words = ["voice", "D: I | V | I", "--for", "brass quintet", "-o"]
    played, concert = tmp_path / "played.musicxml", tmp_path / "concert.musicxml"
    assert main([*words, str(played)]) == 0
    assert main([*words, str(concert), "--concert"]) == 0
    assert b"<transpose>" in played.read_bytes()
    assert b"<for-part>" in concert.read_bytes()
    assert played.read_bytes() != concert.read_bytes()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["", *CHOIR], "."),
        ([TEXT, "--for", "kazoo octet"], "kazoo octet"),
        ([TEXT, *CHOIR, "--preset", "grunge"], "grunge"),
        ([TEXT, *CHOIR, "--weight", "loudness=2"], "loudness"),
        ([TEXT, *CHOIR, "--pin", "9.1 Soprano=D5"], "9"),
        ([TEXT, *CHOIR, "--pin", "1.1 Oboe=D5"], "Oboe"),
        ([TEXT, *CHOIR, "--pin", "1.1 Soprano=H5"], "H5"),
        ([TEXT, *CHOIR, "--pin", "1.1 Soprano=D5", "--pin", "1.1 Soprano=A4"], "Soprano"),
        ([TEXT, *CHOIR, "--pin", "1.1 Soprano=C1"], "Soprano"),
        ([TEXT, *CHOIR, "--register", "Soprano=D6-D3"], "Soprano"),
        ([TEXT, *CHOIR, "--melody", "missing.musicxml"], "missing.musicxml"),
    ],
)
def test_what_cannot_be_voiced_is_one_sentence(
    words: list[str], said: str, capsys: Printed
) -> None:
    assert main(["voice", *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert said in err
