"""Chord names at desk 1: hidden, renamed, kept."""

from __future__ import annotations

from pathlib import Path

from lxml import etree

from harmony.workbench.progression.view import ProgressionDesk
from tests.published.musicxml_schema import schema
from tests.unit.workbench.messages import send


def test_names_are_hidden_and_come_back(desk: ProgressionDesk) -> None:
    assert "VII" in desk.sheet.picture
    desk.details.names.value = "hidden"
    assert "VII" not in desk.sheet.picture
    assert len(desk.sheet.notes) == 32
    send(desk.actions, press="undo")
    assert "VII" in desk.sheet.picture
    assert desk.details.names.value == "shown"


def test_a_chord_gets_the_composer_s_name(desk: ProgressionDesk) -> None:
    send(desk.sheet, choose=[5, 0])
    send(desk.details.name, submit="Night shift")
    assert "Night shift" in desk.sheet.picture
    send(desk.sheet, choose=[1, 0])
    assert desk.details.name.text == ""
    send(desk.sheet, choose=[5, 0])
    assert desk.details.name.text == "Night shift"
    send(desk.details.name, submit="")
    assert "Night shift" not in desk.sheet.picture


def test_names_need_a_chord_and_room(desk: ProgressionDesk) -> None:
    send(desk.details.name, submit="x")
    assert desk.details.name.message.startswith("No chord is chosen to be named")
    send(desk.sheet, choose=[0, 0])
    send(desk.details.name, submit="x" * 41)
    assert desk.details.name.message.startswith("41 characters are too long")
    assert desk.history.present.names == ()


def test_names_are_in_the_kept_score_and_come_back(desk: ProgressionDesk, tmp_path: Path) -> None:
    send(desk.sheet, choose=[5, 0])
    send(desk.details.name, submit="Night shift")
    send(desk.keeping, keep="named")
    kept = tmp_path / "named.musicxml"
    tree = etree.parse(kept)
    schema().assertValid(tree)
    assert tree.xpath("//harmony/kind/@text")[5] == "Night shift"
    send(desk.actions, press="undo")
    assert desk.history.present.names == ()
    send(desk.keeping, open="named")
    assert [name for _, name in desk.history.present.names] == ["Night shift"]


def test_another_text_has_its_own_names(desk: ProgressionDesk) -> None:
    send(desk.sheet, choose=[5, 0])
    send(desk.details.name, submit="Night shift")
    desk.entry.value = "C: I | V | I"
    send(desk.entry, submit="C: I | V | I")
    assert desk.history.present.names == ()
