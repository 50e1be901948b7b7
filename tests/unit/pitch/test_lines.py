"""Notes, lines and themes."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.line import Line
from harmony.pitch.meter import MeterMap
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme


def note(onset: int, duration: int, pitch: str | None = "C4", tie: str | None = None) -> Note:
    return Note(Fraction(onset), Fraction(duration), Pitch.from_text(pitch) if pitch else None, tie)


def test_notes_move_in_pitch_and_time() -> None:
    moved = note(1, 2).transposed(Interval.from_text("A4")).moved(Fraction(3))
    assert (str(moved.pitch), moved.onset, moved.end) == ("F#4", 4, 6)
    assert note(0, 1, None).transposed(Interval.from_text("P5")).is_rest


def test_a_line_joins_ties_and_drops_rests() -> None:
    line = Line(
        (note(0, 1, tie="start"), note(1, 1, tie="stop"), note(2, 1, None), note(3, 1, "D4"))
    )
    assert [(str(n.pitch), n.duration) for n in line.sounding] == [("C4", 2), ("D4", 1)]
    assert (line.start, line.end, len(line)) == (0, 4, 4)
    assert [n.duration for n in line.between(Fraction(0), Fraction(3, 2))] == [1, Fraction(1, 2)]
    assert line.moved(Fraction(1)).start == 1
    assert str(line.transposed(Interval.from_text("M2")).notes[0].pitch) == "D4"


def test_values_check_themselves() -> None:
    with pytest.raises(HarmonyError, match="Two notes sound at once"):
        Line((note(0, 2), note(1, 1)))
    with pytest.raises(HarmonyError, match="before time 0"):
        note(-1, 1)
    with pytest.raises(HarmonyError, match="not a tie"):
        note(0, 1, tie="maybe")
    with pytest.raises(HarmonyError, match="exact fractions"):
        Note(0.5, Fraction(1), None)  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="at least one note"):
        Theme(Line((note(0, 1, None),)), MeterMap.steady("4/4"))
    with pytest.raises(HarmonyError, match="in order of time"):
        Theme(Line((note(0, 1),)), MeterMap.steady("4/4"), phrase_ends=(Fraction(2), Fraction(1)))


def test_a_theme_knows_its_pickup() -> None:
    meters = MeterMap.steady("3/4", pickup=Fraction(1))
    assert Theme(Line((note(0, 1),)), meters).pickup == 1
