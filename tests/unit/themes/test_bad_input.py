"""What is no theme, or not quite one: told in a sentence by the commands and at desk 2."""

from __future__ import annotations

from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main
from harmony.errors import HarmonyError
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.view import ThemeDesk

HEAD = "X:1\nT:Given\nM:4/4\nL:1/4\nK:D\n"
CHORDS = HEAD + "[DF][EG][FA][GB]|[Ad]2[Ad]2|]\n"
ONE_NOTE = HEAD + "D4|]\n"
RESTS = HEAD + "z4|z4|]\n"
LONG = HEAD + "".join(("DEFG|", "AFDF|", "GABc|")[bar % 3] for bar in range(300)) + "]\n"


def write(folder: Path, text: str) -> Path:
    path = folder / "given.abc"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ONE_NOTE, "A canon needs a theme of at least two notes; this one has one."),
        (RESTS, "There are no notes in part 1; another part or other bars are accepted."),
        (LONG, "The theme has 300 bars; a canon is looked for in at most 100"),
    ],
)
def test_no_canon_can_be_made_of_it(
    text: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, text)
    for more in ([], ["--voices", "3"], ["--over", "D | A7"]):
        assert main(["canon", str(path), *more]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert told.err.startswith(said)
        assert told.err.count("\n") == 1
    with pytest.raises(HarmonyError, match=said[:20]):
        harmony.canon(harmony.open_theme(path))


def test_what_is_taken_of_two_parts_at_once_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, CHORDS)
    for command in (["canon", str(path)], ["vary", str(path), "--by", "retrograde"]):
        assert main(command) == 0
        told = capsys.readouterr().err
        assert "has chords, the first in bar 1; their top notes are the tune." in told


@pytest.mark.parametrize("text", [ONE_NOTE, LONG])
def test_it_can_be_varied_all_the_same(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, text)
    for name in ("retrograde", "diatonic inversion", "gigue", "mode minor", "augmentation"):
        assert main(["vary", str(path), "--by", name, "--json"]) == 0
        assert '"derived"' in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ONE_NOTE, "A canon needs a theme of at least two notes; this one has one."),
        (RESTS, "There are no notes in part 1; another part or other bars are accepted."),
    ],
)
def test_the_desk_says_it_beside_the_choice_and_stays(
    text: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, text)
    monkeypatch.setenv("HARMONY_SKETCHBOOK", str(tmp_path))
    desk = ThemeDesk(Choices("Lamps out"))
    before = desk.portrait.text
    desk.choosing.source.value = "given.abc"
    assert (desk.choosing.told.text, desk.choosing.told.tone) == (said, "fault")
    assert desk.choosing.source.value == "Lamps out"
    assert desk.portrait.text == before
    desk.choosing.source.value = "Shuttle"
    assert desk.choosing.told.text == ""


def test_the_desk_takes_what_it_can_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HARMONY_SKETCHBOOK", str(tmp_path))
    desk = ThemeDesk(Choices("Lamps out"))
    (tmp_path / "two.abc").write_text(CHORDS)
    (tmp_path / "long.abc").write_text(HEAD + "DEFG|" * 103 + "A4|]\n")
    desk.shelf.look()
    desk.choosing.source.value = "two.abc"
    assert desk.portrait.text.startswith("It sounds several notes at once; the highest line")
    desk.choosing.source.value = "long.abc"
    assert desk.portrait.text.startswith("Of its 104 bars 1-100 are taken, as canons")
    assert desk.choosing.bars.text == "1-100"
