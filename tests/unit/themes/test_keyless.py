"""A theme without a key: found and told where there is one, or told that there is none."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main
from harmony.errors import HarmonyError
from harmony.pitch import Key
from harmony.pitch.keyfinding import fits_a_scale
from harmony.themes.degrees import KeylessError, find_theme_key, key_or_none, tell_key
from harmony.themes.follower import MOTIONS
from harmony.themes.mending import mend
from harmony.themes.portrait import describe_theme
from harmony.themes.possibility import find_possibilities
from harmony.workbench.theme.presenter import present_portrait
from harmony.workbench.theme.sheet import lay_theme_sheet
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.view import ThemeDesk
from tests.unit.themes.lines import shuttle, theme_from_text

#: our own, all twelve notes once
ROW = "C4 F#4 G4 B4 Ab4 E4 F4 Bb4 A4 C#5 D5 Eb5"
ROW_ABC = "X:1\nT:Row\nM:4/4\nL:1/4\nK:none\nC ^F G B | _A E F _B | A ^c d _e |]\n"
NEED_A_KEY = (
    "diatonic inversion", "inversion", "transposition up a third", "tonal answer",
    "mode phrygian dominant", "sequence up a second", "interval expansion", "ornament",
    "continuation after 2 bars",
)  # fmt: skip
NEED_NONE = (
    "retrograde", "real inversion", "real retrograde inversion", "transposition up M3",
    "real answer", "augmentation", "meter 3/4", "habanera", "syncopation", "displacement",
    "bars 1-2", "without ornament",
)  # fmt: skip


@pytest.fixture
def row():
    return replace(theme_from_text(ROW), key=None)


@pytest.mark.parametrize(
    ("notes", "has_one"),
    [
        # recalled: the royal theme of the Musical Offering, at an even pace
        ("C4 Eb4 G4 Ab4 B3 G4 F#4 F4 E4 Eb4 D4 Db4 C4 B3 G3 C4 F4 Eb4 D4 C4", True),
        # recalled: the series of Berg's violin concerto, and Liszt's first theme of Faust
        ("Bb3 G3 D4 F#4 A4 C5 E5 G#5 B5 C#6 D#6 F6", False),
        ("G#4 G4 Eb5 B4 F#4 D5 Bb4 F4 Db5 A4 E4 C5", False),
        (ROW, False),
        ("C4 D4 E4 F#4 G#4 A#4 C5", False),  # whole tones
        ("C4 D4 E4 G4", True),
    ],
)
def test_what_lies_in_a_scale_has_a_key(notes: str, has_one: bool) -> None:
    assert fits_a_scale(theme_from_text(notes).line.sounding) == has_one


def test_shuttle_without_its_key_is_read_in_dorian_with_a_runner_up() -> None:
    bare = replace(shuttle(), key=None)
    found = find_theme_key(bare)
    assert found is not None
    assert (found.key, found.runner_up) == (Key.from_text("Ddor"), Key.from_text("d"))
    said = "No key is given; it is read in D dorian, and next likely is D minor."
    assert tell_key(bare) == said
    assert harmony.vary(bare, "retrograde").notices == (said,)
    assert harmony.canon(bare).notices == (said,)
    assert tell_key(shuttle()) == ""
    assert "Do 'key D minor' to the theme to read it so." in present_portrait(bare)
    turned = harmony.vary(bare, "key D minor", "transposition up a second").theme
    assert turned.key == Key.from_text("d")
    assert "Bb4" in {str(note.pitch) for note in turned.line.sounding}


@pytest.mark.parametrize("name", NEED_A_KEY)
def test_what_needs_a_key_says_so_in_one_sentence(row, name: str) -> None:
    with pytest.raises(KeylessError) as fault:
        harmony.vary(row, name)
    said = str(fault.value)
    assert said.startswith(f"'{name}' goes by the degrees of a key, and this theme has none")
    assert "'key D minor'" in said
    assert said.count(". ") == 0
    assert harmony.vary(row, "key C minor", name).theme.line.sounding


@pytest.mark.parametrize("name", NEED_NONE)
def test_what_needs_none_goes_on(row, name: str) -> None:
    assert harmony.vary(row, name).theme.line.sounding


def test_canons_of_it_answer_exactly_in_every_motion(row) -> None:
    book = harmony.canon(row)
    assert {canon.answer for canon in book.canons} == {"real"}
    assert {canon.cell.motion for canon in book.canons} == set(MOTIONS)
    leader = [note.pitch.midi for note in row.line.sounding]
    direct = next(canon for canon in book.canons if canon.cell.motion == "direct")
    answer = [note.pitch.midi for note in direct.follower.sounding]
    assert len({two - one for one, two in zip(leader, answer, strict=True)}) == 1
    with pytest.raises(KeylessError, match="ask for two voices"):
        harmony.canon(row, voices=3)
    with pytest.raises(KeylessError):
        mend(row, direct.cell)


def test_it_has_a_portrait_a_sheet_and_possibilities(row) -> None:
    assert key_or_none(row) is None
    assert describe_theme(row).implied == ()
    offered = find_possibilities(row)
    assert {"inversion", "retrograde"} <= {one.kind for one in offered}
    assert lay_theme_sheet(row, offered, "tonal")
    assert "the notes lie in no major, minor or church scale" in present_portrait(row)


def test_a_bare_signature_says_no_key_of_a_chromatic_theme(tmp_path: Path) -> None:
    (tmp_path / "row.abc").write_text(ROW_ABC)
    assert harmony.open_theme(tmp_path / "row.abc").key is None
    (tmp_path / "white.abc").write_text("X:1\nM:4/4\nL:1/4\nK:C\nCEGc|BGDG|C4|]\n")
    assert harmony.open_theme(tmp_path / "white.abc").key == Key.from_text("C")


def test_the_commands_say_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "row.abc"
    path.write_text(ROW_ABC)
    assert main(["canon", str(path)]) == 0
    told = capsys.readouterr()
    assert "(real)" in told.out
    assert told.err.startswith("No key is given, and the notes lie in no major")
    assert main(["vary", str(path), "--by", "tonal answer"]) == 2
    assert "'tonal answer' goes by the degrees of a key" in capsys.readouterr().err
    assert main(["vary", str(path), "--by", "tonal answer", "--key", "C"]) == 0
    assert capsys.readouterr().err == ""


def test_the_desk_says_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "row.abc").write_text(ROW_ABC)
    monkeypatch.setenv("HARMONY_SKETCHBOOK", str(tmp_path))
    desk = ThemeDesk(Choices("row.abc"))
    assert "No key is given, and the notes lie in no" in desk.portrait.text
    with pytest.raises(HarmonyError, match="'tonal answer' goes by the degrees"):
        desk._operate("tonal answer")
    desk._operate("key A minor")
    assert "row.abc, key A minor." in desk.portrait.text
    desk._operate("tonal answer")
    assert desk.work.theme.parent[-1] == "tonal answer"
