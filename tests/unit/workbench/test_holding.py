"""Chords fixed and bars locked at desk 1."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.workbench.progression.holding import list_bars, read_bars
from harmony.workbench.progression.opening import TEXT
from harmony.workbench.progression.view import ProgressionDesk
from tests.unit.workbench.messages import send


def lock(desk: ProgressionDesk, bars: str) -> None:
    desk.fixing.bars.value = bars
    send(desk.fixing.bars, submit=bars)


def test_locked_bars_stay_whatever_moves(desk: ProgressionDesk) -> None:
    send(desk.cards, press="C")
    before = desk.work.shown.pitches
    lock(desk, "3-4")
    assert desk.fixing.told.text == "Locked: bars 3 to 4."
    desk.sliders.values = {**desk.sliders.values, "spacing": 4, "motion": 4}
    after = desk.work.shown.pitches
    assert after[2:4] == before[2:4]
    assert after != before
    assert all(one.pitches[2:4] == before[2:4] for one in desk.work.alternatives)
    assert [item["text"].endswith(" locked") for item in desk.sheet.under] == [
        number in (2, 3) for number in range(8)
    ]
    assert desk.sheet.notes[8]["spoken"].endswith(", locked")


def test_a_locked_bar_refuses_every_change(desk: ProgressionDesk) -> None:
    lock(desk, "2")
    held = desk.history.present
    send(desk.sheet, pin=[1, 0])
    assert desk.result.tone == "fault"
    assert desk.result.text.startswith("Bar 2 is locked, so that nothing in it changes")
    assert desk.bill.candidates == []
    assert "locked" in desk.bill.notes_heading
    send(desk.spacing.steering, press="roughen")
    assert desk.spacing.told.tone == "fault"
    send(desk.fixing.actions, press="fix")
    assert desk.fixing.bars.tone == "fault"
    assert replace(desk.history.present, chosen=None) == held


def test_a_fixed_chord_is_pinned_in_every_voice_and_let_go(desk: ProgressionDesk) -> None:
    send(desk.sheet, choose=[4, 1])
    before = desk.work.shown.pitches[4]
    send(desk.fixing.actions, press="fix")
    assert desk.fixing.told.text == "Fixed as voiced: bar 5, beat 1."
    assert [note["pinned"] for note in desk.sheet.notes].count(True) == 4
    desk.sliders.values = {**desk.sliders.values, "spacing": -4}
    assert desk.work.shown.pitches[4] == before
    send(desk.fixing.actions, press="let-go")
    assert desk.history.present.bound == ()
    assert desk.fixing.told.text == "Nothing is pinned, fixed or locked."


def test_locks_are_undone_and_redone(desk: ProgressionDesk) -> None:
    lock(desk, "1, 7-8")
    assert desk.history.present.locked == (1, 7, 8)
    send(desk.actions, press="undo")
    assert desk.history.present.locked == ()
    send(desk.actions, press="redo")
    assert desk.history.present.locked == (1, 7, 8)
    send(desk.fixing.actions, press="free")
    assert desk.history.present.locked == ()


def test_without_bars_the_chosen_chord_s_is_locked(desk: ProgressionDesk) -> None:
    lock(desk, "")
    assert desk.fixing.bars.message.startswith("No chord is chosen")
    send(desk.sheet, choose=[5, 0])
    send(desk.fixing.actions, press="lock")
    assert desk.history.present.locked == (6,)


def test_locks_come_back_with_a_keep(desk: ProgressionDesk, tmp_path: Path) -> None:
    lock(desk, "2-3")
    send(desk.sheet, pin=[6, 2])
    kept = desk.history.present
    send(desk.keeping, keep="held")
    record = json.loads((tmp_path / "held.json").read_text("utf-8"))
    assert record["settings"]["locked"] == [note.text for note in kept.held]
    send(desk.fixing.actions, press="free")
    send(desk.keeping, open="held")
    assert desk.history.present.held == kept.held
    assert desk.history.present.pins == kept.pins


def test_a_lock_is_lifted_with_its_chords_and_told(desk: ProgressionDesk) -> None:
    lock(desk, "1-2")
    send(desk.entry, submit=TEXT.replace("VII6", "VII6 iv"))
    assert desk.history.present.locked == (1,)
    assert "Bar 2 is no longer locked" in desk.entry.message


def test_a_pin_in_a_bar_locked_later_comes_back_with_the_bar(desk: ProgressionDesk) -> None:
    send(desk.sheet, pin=[2, 1])
    lock(desk, "3")
    assert len(desk.history.present.bound) == 4
    desk.fixing.bars.value = ""
    send(desk.actions, press="undo")
    assert len(desk.history.present.bound) == 1


@pytest.mark.parametrize(
    ("text", "bars"), [("2", (2,)), ("5-8", (5, 6, 7, 8)), ("1, 3 \u2013 4 and 8", (1, 3, 4, 8))]
)
def test_bars_are_read(text: str, bars: tuple[int, ...]) -> None:
    assert read_bars(text, parse(TEXT)) == bars


@pytest.mark.parametrize("text", ["9", "4-2", "two", "", "0", "3-", "1-900000000000"])
def test_bars_that_are_not_there_are_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(HarmonyError, match=r"bars 1 to 8 are accepted, such as 1 or 1-8\.$"):
        read_bars(text, parse(TEXT))


def test_bars_in_words() -> None:
    assert list_bars((3,)) == "bar 3"
    assert list_bars((1, 2, 3, 6)) == "bars 1 to 3, 6"
