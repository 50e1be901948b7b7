"""The desk without a browser: what is done to its parts, and what they then say."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from harmony.sketchbook import Sketchbook
from harmony.voicings.api import voice
from harmony.workbench.progression.opening import ENSEMBLE, TEXT
from harmony.workbench.progression.view import ProgressionDesk
from harmony.writing.engraving import Engraving, engrave
from tests.unit.workbench.messages import send


def voice_text(desk: ProgressionDesk, text: str) -> None:
    desk.entry.value = text
    send(desk.entry, submit=text)


def test_it_opens_worked(desk: ProgressionDesk) -> None:
    assert "<svg" in desk.sheet.picture
    assert len(desk.sheet.notes) == 32
    assert [card["letter"] for card in desk.cards.items] == list("ABCDE")
    best = voice(TEXT, ENSEMBLE).alternatives[0]
    assert desk.work.shown.pitches == best.pitches


def test_alternatives_differ_from_each_other_in_their_chords(desk: ProgressionDesk) -> None:
    shapes = [one.pitches for one in desk.work.alternatives]
    for place, shape in enumerate(shapes):
        for other in shapes[:place]:
            assert sum(a != b for a, b in zip(shape, other, strict=True)) >= 2


def test_pin_candidate_undo(desk: ProgressionDesk) -> None:
    before = desk.work.shown.pitches
    send(desk.sheet, choose=[3, 0])
    dearer = next(i for i, one in enumerate(desk.bill.candidates) if one["price"].startswith("+"))
    price = desk.bill.candidates[dearer]["price"]
    send(desk.bill, press=dearer)
    assert desk.work.shown.cost - voice(TEXT, ENSEMBLE).alternatives[0].cost == pytest.approx(
        float(price), abs=0.051
    )
    assert [note["pinned"] for note in desk.sheet.notes].count(True) == 1
    send(desk.actions, press="undo")
    assert desk.work.shown.pitches == before


def test_pins_that_mean_nothing_any_more_are_lifted_and_told(desk: ProgressionDesk) -> None:
    send(desk.sheet, pin=[0, 0])
    voice_text(desk, "6/8 g: i | V7 | i")
    assert desk.history.present.pins == ()
    assert "lifted" in desk.entry.message
    assert desk.entry.tone == ""


def test_what_is_typed_survives_what_happens_elsewhere(desk: ProgressionDesk) -> None:
    desk.entry.value = "half a thought"
    desk.sliders.values = {**desk.sliders.values, "motion": 2}
    send(desk.actions, press="undo")
    assert desk.entry.value == "half a thought"


def test_the_button_voices_what_is_typed_even_if_its_state_comes_later(
    desk: ProgressionDesk,
) -> None:
    send(desk.entry, typed="C: I | V | I")
    send(desk.voice_it, press="voice")
    assert len(desk.sheet.notes) == 12
    send(desk.actions, press="undo")
    assert desk.entry.text == TEXT


def test_keep_and_open_give_the_same_desk(desk: ProgressionDesk, tmp_path: Path) -> None:
    desk.sliders.values = {**desk.sliders.values, "spacing": 2}
    desk.terms.values = {**desk.terms.values, "leaps": -2}
    send(desk.sheet, pin=[2, 2])
    send(desk.cards, press="B")
    kept = desk.history.present
    send(desk.keeping, keep="first")
    other = ProgressionDesk(sketchbook=Sketchbook(tmp_path))
    send(other.keeping, open="first")
    opened = other.history.present
    assert opened == replace(kept, chosen=None, ancestry=("first",))
    assert other.work.shown.pitches == desk.work.shown.pitches
    send(other.keeping, keep="second")
    assert json.loads((tmp_path / "second.json").read_text("utf-8"))["ancestry"] == ["first"]


# Bad input: one sentence, and everything else as it was.

FAULTS: dict[str, tuple[str, str]] = {
    "empty text": ("   ", "The box is empty"),
    "unknown symbol": ("C: I | Q7 | I", "'Q7'"),
    "missing key": ("I | V | I", "key"),
}


@pytest.mark.parametrize(("text", "words"), FAULTS.values(), ids=FAULTS)
def test_a_text_that_cannot_be_read(desk: ProgressionDesk, text: str, words: str) -> None:
    check_refusal(desk, lambda: voice_text(desk, text), words)
    assert desk.entry.value == text


def test_the_mark_lies_under_the_bad_stretch(desk: ProgressionDesk) -> None:
    voice_text(desk, "C: I | Q7 | I")
    start, end = desk.entry.marked
    assert desk.entry.marked_text[start:end] == "Q7"


def test_a_chord_that_no_voicing_reaches(desk: ProgressionDesk) -> None:
    text = "C: I | {C2 E2 G2 Bb2 D3 F3 A3} | I"
    check_refusal(desk, lambda: voice_text(desk, text), "bar 2")


def test_pins_that_contradict_the_chord(desk: ProgressionDesk) -> None:
    voice_text(desk, "C: I | I | I")
    send(desk.sheet, pin=[1, 3])
    assert desk.history.present.pins[0].pitch.letter == "C"
    check_refusal(desk, lambda: voice_text(desk, "C: I | I6 | I"), "Cello")


def test_one_chord_is_enough(desk: ProgressionDesk) -> None:
    voice_text(desk, "C: I")
    assert desk.entry.message == ""
    assert len(desk.sheet.notes) == 4


def test_five_hundred_chords_are_voiced(desk: ProgressionDesk) -> None:
    voice_text(desk, "C: " + " | ".join(["I", "vi", "ii6", "V7"] * 125))
    assert desk.entry.message == ""
    assert len(desk.sheet.notes) == 2000


@pytest.mark.parametrize("name", ["a/b", "..\\up", "../escape", ".hidden", "con"])
def test_a_name_that_no_file_can_have(desk: ProgressionDesk, tmp_path: Path, name: str) -> None:
    send(desk.keeping, keep=name)
    assert desk.keeping.tone == "fault"
    assert desk.keeping.message.count(". ") == 0
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_may_only_be_read(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    desk = ProgressionDesk(sketchbook=Sketchbook(tmp_path / "file" / "inside"))
    send(desk.keeping, keep="anything")
    assert desk.keeping.tone == "fault"
    assert desk.keeping.message.startswith("Nothing could be kept in")
    if os.geteuid():
        closed = tmp_path / "closed"
        closed.mkdir(mode=0o500)
        desk = ProgressionDesk(sketchbook=Sketchbook(closed))
        send(desk.keeping, keep="anything")
        assert "may only be read" in desk.keeping.message


@pytest.mark.parametrize(
    ("number", "reason"),
    [
        (errno.EACCES, "it may only be read"),
        (errno.EROFS, "it may only be read"),
        (errno.ENOSPC, "the disk is full"),
    ],
)
def test_what_the_system_refuses_is_told_and_nothing_is_lost(
    desk: ProgressionDesk,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    reason: str,
) -> None:
    """Permissions do not stop the superuser, so the refusal of the system is played."""
    send(desk.keeping, keep="before")
    there = sorted(path.name for path in tmp_path.iterdir())
    before = desk.work, desk.history

    def refuse(_path: Path, *_arguments: object, **_named: object) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as closed:
        # what is asked of the system first, and what it is asked when bytes are written
        closed.setattr(Path, "mkdir" if number != errno.ENOSPC else "open", refuse)
        send(desk.keeping, keep="anything")
    assert desk.keeping.tone == "fault"
    assert desk.keeping.message == (
        f"Nothing could be kept in {tmp_path}: {reason}; a folder that can be written to is"
        " accepted."
    )
    assert sorted(path.name for path in tmp_path.iterdir()) == there
    assert (desk.work, desk.history) == before
    send(desk.keeping, open="before")
    assert desk.keeping.tone == ""


@pytest.mark.parametrize(
    ("name", "words"), [("a/b", "a/b"), ("\\share", "share"), ("x" * 300, "too long"), ("\0", "")]
)
def test_what_is_wrong_with_a_name_is_said(
    desk: ProgressionDesk, tmp_path: Path, name: str, words: str
) -> None:
    send(desk.keeping, keep=name)
    assert desk.keeping.tone == "fault"
    assert words in desk.keeping.message
    assert "accepted" in desk.keeping.message
    assert list(tmp_path.iterdir()) == []


def test_a_carried_voice_asks_no_less_of_its_name(desk: ProgressionDesk, tmp_path: Path) -> None:
    desk.keeping.name = "up/and/away"
    send(desk.shelf.carrying, press="theme")
    assert desk.keeping.tone == "fault"
    assert list(tmp_path.iterdir()) == []


def test_a_fault_of_our_own_is_shown_too(
    desk: ProgressionDesk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(*_arguments: object) -> None:
        raise KeyError("a slip")

    monkeypatch.setattr("harmony.workbench.progression.view.find_best", fail)
    check_refusal(desk, lambda: voice_text(desk, "C: I | V | I"), "KeyError")
    assert "a callback failed" in caplog.text


def check_refusal(desk: ProgressionDesk, action: Callable[[], object], words: str) -> None:
    """The action is answered by one sentence; the last good result stays."""
    before = (desk.sheet.picture, desk.sheet.revision, desk.history, desk.work)
    action()
    assert desk.entry.tone == "fault"
    assert words in desk.entry.message
    assert "\n" not in desk.entry.message
    assert (desk.sheet.picture, desk.sheet.revision, desk.history, desk.work) == before


def test_nothing_is_engraved_again_while_the_music_stays(
    desk: ProgressionDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[tuple[int, ...]] = []

    def watch(*args: Any, lines: tuple[int, ...] = (), **options: Any) -> Engraving:
        drawn.append(lines)
        return engrave(*args, lines=lines, **options)

    monkeypatch.setattr("harmony.workbench.progression.picture.engrave_evenly", watch)
    before = desk.sheet.picture
    send(desk.sheet, pin=[0, 0])
    assert desk.sheet.picture is before
    assert drawn == []
    desk.sliders.values = {**desk.sliders.values, next(iter(desk.sliders.values)): 3}
    assert desk.sheet.picture != before
    assert len(drawn) == 1
