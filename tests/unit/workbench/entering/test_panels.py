"""The folds for playing in, without a browser: what their messages do to the desks."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmony.reading.theme import open_theme
from harmony.sketchbook import Sketchbook
from harmony.workbench.entering.chords import PlayedChords
from harmony.workbench.entering.tune import PlayedMelody
from harmony.workbench.progression.opening import TEXT
from harmony.workbench.progression.view import ProgressionDesk
from harmony.workbench.theme.view import ThemeDesk

A7 = [57, 61, 64, 67]


def send(panel: PlayedChords | PlayedMelody, **content: object) -> None:
    """Do what the browser does: send the part a message."""
    panel.part._handle_custom_msg(content, [])


@pytest.fixture
def desk(tmp_path: Path) -> ProgressionDesk:
    desk = ProgressionDesk(sketchbook=Sketchbook(tmp_path))
    desk.played.fold.is_open = True
    return desk


@pytest.fixture
def theme_desk() -> ThemeDesk:
    desk = ThemeDesk()
    desk.played.fold.is_open = True
    return desk


def test_key_and_manner_follow_the_text(desk: ProgressionDesk) -> None:
    assert (desk.played.key.value, desk.played.manner.value) == ("D minor", "Roman numerals")
    desk.put_text("Ebmaj7 | Ab7", None)
    assert desk.played.manner.value == "chord symbols"
    desk.put_text("Ab: I | V7", None)
    assert (desk.played.key.value, desk.played.manner.value) == ("A♭ major", "Roman numerals")
    desk.put_text("D dorian: i | IV", None)
    assert desk.played.key.value.endswith("dorian")


def test_nothing_is_drawn_while_the_fold_is_closed(tmp_path: Path) -> None:
    desk = ProgressionDesk(sketchbook=Sketchbook(tmp_path))
    assert desk.played.part.picture == ""
    desk.played.fold.is_open = True
    assert "<svg" in desk.played.part.picture


def test_a_chord_is_told_put_in_voiced_and_taken_back(desk: ProgressionDesk) -> None:
    send(desk.played, held=A7, at=67)
    assert desk.played.part.told == "V7\nA3  C♯4  E4  G4"
    assert desk.played.part.spoken == "V7: A 3, C sharp 4, E 4, G 4"
    send(desk.played, take=True)
    assert desk.entry.value == desk.history.present.text == f"{TEXT} | V7"
    assert desk.played.part.told == "Nothing is held."
    send(desk.played, back=True)
    assert desk.entry.value == desk.history.present.text == TEXT
    send(desk.played, back=True)
    assert desk.played.part.tone == "fault"


def test_undo_goes_over_what_was_played_in(desk: ProgressionDesk) -> None:
    send(desk.played, held=A7, at=67)
    send(desk.played, take=True)
    desk.actions._handle_custom_msg({"press": "undo"}, [])
    assert desk.entry.value == TEXT


def test_the_chosen_chord_is_replaced_and_stays_chosen(desk: ProgressionDesk) -> None:
    desk.played.where.value = "in place of the chosen chord"
    send(desk.played, held=A7, at=67)
    send(desk.played, take=True)
    assert desk.played.part.told == "Choose a chord in the notation first; this one replaces it."
    assert desk.entry.value == TEXT
    desk.sheet._handle_custom_msg({"choose": [1, 0]}, [])
    send(desk.played, take=True)
    assert desk.entry.value == TEXT.replace("VII6", "V7", 1)
    assert desk.chosen_chord() == 1


def test_respelling_goes_round(desk: ProgressionDesk) -> None:
    send(desk.played, held=[58, 62, 65, 68], at=68)
    first = desk.played.part.told
    assert first == "Ger65\nB♭3  D4  F4  G♯4"
    send(desk.played, respell=True)
    assert "A♭4" in desk.played.part.told
    send(desk.played, respell_one=68)
    assert "G♯4" in desk.played.part.told
    send(desk.played, held=[58, 62, 65, 68], at=68)
    assert desk.played.part.told == first


def test_a_text_that_cannot_be_read_keeps_the_chord_held(desk: ProgressionDesk) -> None:
    desk.entry.value = "d: i | Q"
    send(desk.played, held=A7, at=67)
    send(desk.played, take=True)
    assert desk.entry.value == "d: i | Q"
    assert desk.played.part.tone == "fault"
    assert "Q" in desk.played.part.told
    desk.entry.value = TEXT
    send(desk.played, take=True)
    assert desk.entry.value == f"{TEXT} | V7"


def test_a_melody_is_kept_and_becomes_the_theme(theme_desk: ThemeDesk, tmp_path: Path) -> None:
    played = theme_desk.played
    played.key.value, played.meter.value, played.title.value = "D minor", "3/4", "Warp"
    for number, length in ((62, "1"), (61, "1"), (62, "1"), (65, "1.5"), (None, "0.5"), (64, "1")):
        send(played, note=number, length=length)
    assert played.part.told == "E4. Next: bar 3, beat 1"
    send(played, longer="1")
    send(played, take=True)
    assert theme_desk.choosing.source.value == "Warp.musicxml"
    theme = open_theme(tmp_path / "Warp.musicxml")
    assert [str(note.pitch) for note in theme.line.sounding] == ["D4", "C#4", "D4", "F4", "E4"]
    assert theme.line.sounding[-1].duration == 2
    assert str(theme.key) == "d"
    theme_desk.actions._handle_custom_msg({"press": "undo"}, [])
    assert theme_desk.choosing.source.value != "Warp.musicxml"


def test_a_bad_length_or_an_empty_melody_gets_one_sentence(theme_desk: ThemeDesk) -> None:
    played = theme_desk.played
    send(played, note=60, length="-1")
    assert played.part.told == "A note lasts up to 64 quarters; -1 is not possible."
    send(played, take=True)
    assert played.part.told == "There is no melody yet; play some notes first."
    send(played, back=True)
    assert played.part.told == "There is nothing to take back."
