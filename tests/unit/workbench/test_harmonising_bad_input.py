"""What cannot be harmonised, given to the desk: one sentence beside it, everything else kept."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.pitch import MeterMap
from harmony.pitch.spelling import Pitch
from harmony.scoring import ClefChange, Event, Part, Score, Staff
from harmony.workbench.harmonising.view import HarmonisingDesk
from harmony.writing.musicxml import write_musicxml

C, E, G = (Pitch(letter, 0, 4) for letter in "CEG")
BAR = Fraction(4)
MICROTONE = (b"<alter>1</alter>", b"<alter>0.5</alter>")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The sketchbook of the test."""
    return tmp_path


def save(folder: Path, name: str, *staves: list[Event]) -> None:
    clef = (ClefChange(Fraction(0), "treble"),)
    part = Part("Oboe", tuple(Staff(tuple(events), clef) for events in staves))
    score = Score((part,), MeterMap.steady("4/4"))
    (folder / name).write_bytes(write_musicxml(score))


def bars(count: int, *pitches: Pitch) -> list[Event]:
    return [Event(n * BAR, BAR, pitches) for n in range(count)]


def open_desk(folder: Path) -> HarmonisingDesk:
    save(folder, "good.musicxml", bars(4, C))
    desk = HarmonisingDesk()
    desk.asking.list_sources()
    return desk


def is_one_sentence(text: str) -> bool:
    return text.endswith(".") and "\n" not in text and "Traceback" not in text


@pytest.mark.parametrize(
    ("name", "write", "words"),
    [
        ("silent.musicxml", lambda f, n: save(f, n, bars(2)), "no notes"),
        ("long.musicxml", lambda f, n: save(f, n, bars(400, C)), "400 bars"),
        ("torn.musicxml", lambda f, n: (f / n).write_bytes(b"<score-partwise"), "torn.musicxml"),
    ],
)
def test_a_score_without_a_tune_leaves_the_desk_as_it_is(
    folder: Path, name: str, write: Callable[[Path, str], object], words: str
) -> None:
    desk = open_desk(folder)
    write(folder, name)
    before, picture = desk.work, desk.sheet.picture
    desk.asking.list_sources()
    desk.asking.source.value = name
    assert words in desk.found.text
    assert desk.found.tone == "fault"
    assert is_one_sentence(desk.found.text)
    assert (desk.work, desk.sheet.picture) == (before, picture)
    assert desk.asking.source.value == before.choices.question.source
    desk.asking.source.value = "good.musicxml"
    assert desk.found.tone == ""
    assert desk.work.theme.line.end == 4 * BAR


def test_of_a_part_in_chords_and_on_two_staves_the_top_is_taken_and_the_rest_told(
    folder: Path,
) -> None:
    save(folder, "many.musicxml", bars(4, C, E, G), bars(4, C))
    desk = open_desk(folder)
    desk.asking.source.value = "many.musicxml"
    assert {note.pitch for note in desk.work.melody.notes} == {G}
    assert "has chords, the first in bar 1; their top notes are the tune." in desk.found.text
    assert "2 voices; the first is the tune" in desk.found.text


def test_quarter_tones_are_told_and_the_rest_is_harmonised(folder: Path) -> None:
    save(folder, "micro.musicxml", [*bars(2, C), Event(2 * BAR, BAR, (Pitch("F", 1, 4),))])
    path = folder / "micro.musicxml"
    path.write_bytes(path.read_bytes().replace(*MICROTONE))
    desk = open_desk(folder)
    desk.asking.source.value = "micro.musicxml"
    assert "quarter tone" in desk.found.text
    assert len(desk.work.melody.notes) == 3


def test_fixes_that_contradict_each_other_are_refused_beside_the_chord(folder: Path) -> None:
    desk = open_desk(folder)
    desk.sheet._handle_custom_msg({"choose": [1, 1]}, [])
    desk.changing.chord.put("IV")
    desk.changing.fixing._handle_custom_msg({"press": "fix"}, [])
    fixed = desk.work
    assert fixed.choices.question.fixes == ("2.1=IV",)
    desk.changing.fixing._handle_custom_msg({"press": "forbid"}, [])
    assert "contradict each other" in desk.changing.chord.message
    assert is_one_sentence(desk.changing.chord.message)
    assert desk.work == fixed


def test_a_tune_no_chord_of_the_list_fits_is_said_with_its_place(folder: Path) -> None:
    desk = open_desk(folder)
    before = desk.work
    desk.asking.idioms.value = "own"
    desk.asking.own.put("Bb")
    desk.asking.ask._handle_custom_msg({"press": "ask"}, [])
    assert "fits the tune in bar 1 beat 1; the nearest is Bb" in desk.asking.own.message
    assert is_one_sentence(desk.asking.own.message)
    assert desk.work == before
    desk.asking.own.put("")
    desk.asking.ask._handle_custom_msg({"press": "ask"}, [])
    assert "needs your chords" in desk.asking.own.message
    assert desk.work == before
