"""Chords read off a score into desk 1's box."""

from __future__ import annotations

from pathlib import Path

import pytest

import harmony
from harmony.cli.main import main
from harmony.sketchbook import Sketchbook
from harmony.workbench.progression.fromscore import list_scores, read_chords
from harmony.workbench.progression.view import ProgressionDesk
from harmony.writing.musicxml import write_musicxml

TEXT = "D: I V6 | ii65 V7 | I"
# C F G is C with a fourth, or F with a second.
EITHER = "Csus4 | F | C"


@pytest.fixture
def book(tmp_path: Path) -> Sketchbook:
    return Sketchbook(tmp_path)


def put(book: Sketchbook, name: str, text: str, *, named: bool) -> None:
    from dataclasses import replace

    score = harmony.voice(text, "SATB choir").to_score()
    score = score if named else replace(score, harmonies=())
    (book.folder / name).write_bytes(write_musicxml(score))


def press(desk: ProgressionDesk, name: str) -> None:
    desk.from_score.fold.is_open = True
    desk.from_score.score.value = name
    desk.from_score.actions._handle_custom_msg({"press": "read"}, [])


def test_named_and_heard_chords_come_into_the_box(book: Sketchbook) -> None:
    put(book, "named.musicxml", TEXT, named=True)
    put(book, "heard.musicxml", TEXT, named=False)
    desk = ProgressionDesk(sketchbook=book)
    wanted = [slot.chord for slot in harmony.parse(TEXT)]
    for name, told in (("named.musicxml", "as the score names"), ("heard.musicxml", "the notes")):
        press(desk, name)
        assert told in desk.from_score.message.text
        found = [slot.chord for slot in harmony.parse(desk.entry.text)]
        assert [(c.root, c.bass) for c in found] == [(c.root, c.bass) for c in wanted]
        assert desk.history.present.text == desk.entry.text


def test_a_second_reading_as_good_is_told(book: Sketchbook) -> None:
    put(book, "either.musicxml", EITHER, named=False)
    _, told = read_chords(book, "either.musicxml")
    assert told.startswith("3 chords read off the notes")
    assert "As good a reading: bar 1 beat 1" in told


def test_an_empty_sketchbook_and_a_torn_score_are_told(book: Sketchbook) -> None:
    desk = ProgressionDesk(sketchbook=book)
    before = desk.work.shown.pitches
    desk.from_score.fold.is_open = True
    desk.from_score.actions._handle_custom_msg({"press": "read"}, [])
    assert desk.from_score.message.text.startswith("Put a score into")
    (book.folder / "torn.musicxml").write_text("<score-partwise><part>", encoding="utf-8")
    assert list(list_scores(book.folder)) == ["torn.musicxml"]
    press(desk, "torn.musicxml")
    assert desk.from_score.message.tone == "fault"
    assert desk.work.shown.pitches == before


def test_commands_take_a_score_for_its_chords(
    book: Sketchbook, capsys: pytest.CaptureFixture[str]
) -> None:
    put(book, "heard.musicxml", TEXT, named=False)
    assert main(["parse", str(book.folder / "heard.musicxml")]) == 0
    assert "Em7" in capsys.readouterr().out
