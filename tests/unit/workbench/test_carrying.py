"""Carried from desk 1 to the desks where a melody is worked on."""

from __future__ import annotations

import json
from pathlib import Path

from harmony.reading.theme import open_theme
from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.view import HarmonisingDesk
from harmony.workbench.progression.view import ProgressionDesk
from harmony.workbench.theme.view import ThemeDesk
from tests.unit.workbench.messages import send


def test_the_top_line_is_a_theme_at_desk_2(desk: ProgressionDesk, tmp_path: Path) -> None:
    other = ThemeDesk()  # open already, as it would be in another tab
    send(desk.shelf.carrying, press="theme")
    kept = "Progression, Violin 1"
    assert kept in desk.keeping.message
    top = [chord[0] for chord in desk.work.shown.pitches]
    theme = open_theme(tmp_path / f"{kept}.musicxml")
    assert [note.pitch for note in theme.line] == top
    assert str(theme.key) == "d"
    send(other.shelf.keeping, look=True)
    assert kept in other.shelf.keeping.kept
    send(other.shelf.keeping, open=kept)
    assert other.work.theme.line == theme.line
    assert f"{kept}.musicxml" in other.choosing.source.options


def test_the_chosen_voice_is_a_tune_at_desk_3(desk: ProgressionDesk, tmp_path: Path) -> None:
    other = HarmonisingDesk()
    send(desk.sheet, choose=[2, 3])
    desk.keeping.name = "Ground"
    send(desk.shelf.carrying, press="tune")
    assert desk.keeping.message.startswith("Cello is kept as Ground, Cello.musicxml: at desk 3")
    send(other.shelf.keeping, open="Ground, Cello")
    low = [chord[3] for chord in desk.work.shown.pitches]
    assert [note.pitch for note in other.work.theme.line] == low
    record = json.loads((tmp_path / "Ground, Cello.json").read_text("utf-8"))
    assert record["ancestry"] == [f"Cello of {desk.history.present.text}"]


def test_without_a_chosen_voice_the_top_line_goes_and_it_is_said(desk: ProgressionDesk) -> None:
    send(desk.shelf.carrying, press="tune")
    assert desk.keeping.message.startswith("Violin 1, the top line as no voice is chosen,")


def test_a_melody_is_no_progression(desk: ProgressionDesk) -> None:
    send(desk.shelf.carrying, press="theme")
    send(desk.keeping, open="Progression, Violin 1")
    assert desk.keeping.kept == []
    assert desk.keeping.tone == "fault"
    assert "kept at another desk" in desk.keeping.message


def test_rests_stay_rests(desk: ProgressionDesk, tmp_path: Path) -> None:
    send(desk.entry, submit="4/4 Dmaj7 | N.C. | A7 | D")
    send(desk.shelf.carrying, press="theme")
    theme = open_theme(tmp_path / "Progression, Violin 1.musicxml")
    assert [note.is_rest for note in theme.line] == [False, True, False, False]


def test_what_other_desks_keep_is_listed(desk: ProgressionDesk, tmp_path: Path) -> None:
    other = ProgressionDesk(sketchbook=Sketchbook(tmp_path))
    send(other.keeping, keep="from next door")
    send(desk.keeping, look=True)
    assert "from next door" in desk.keeping.kept


def test_a_name_typed_is_the_name_carried_under(desk: ProgressionDesk) -> None:
    send(desk.keeping, named="Weaving")
    assert desk.keeping.name == "Weaving"
