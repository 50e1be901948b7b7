"""Choices follow one another without a trace left behind; undo goes without end."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.pitch.spelling import Pitch
from harmony.workbench.history import History
from harmony.workbench.progression.state import Choices, PinnedNote

START = Choices("C: I | V | I", "SATB choir")
E4 = PinnedNote(2, Fraction(1), "Alto", Pitch("E", 0, 4))
G4 = PinnedNote(2, Fraction(1), "Alto", Pitch("G", 0, 4))


@pytest.mark.parametrize(
    ("beat", "text"),
    [
        (Fraction(1), "2.1 Alto=E4"),
        (Fraction(5, 2), "2.2.5 Alto=E4"),
        (Fraction(5, 3), "2.5/3 Alto=E4"),
    ],
)
def test_a_pin_is_written_as_the_command_line_takes_it(beat: Fraction, text: str) -> None:
    assert PinnedNote(2, beat, "Alto", Pitch("E", 0, 4)).text == text


def test_one_place_holds_one_pin() -> None:
    assert START.with_pin(E4).with_pin(G4).pins == (G4,)
    assert START.with_pin(E4).without_pin(G4).pins == ()


def test_a_new_search_begins_again_at_a() -> None:
    looking = START.with_letter("C")
    for later in (
        looking.with_text("C: I"),
        looking.with_ensemble("piano"),
        looking.with_slider("motion", 1),
        looking.with_term("leaps", -1),
        looking.with_pin(E4),
    ):
        assert later.letter == "A"


def test_a_slider_back_in_the_middle_leaves_no_trace() -> None:
    assert START.with_slider("motion", 3).with_slider("motion", 0) == START


def test_a_slider_that_does_not_move_is_no_search() -> None:
    looking = START.with_slider("motion", 2).with_term("leaps", 1).with_letter("B")
    assert looking.with_slider("motion", 2) is looking
    assert looking.with_term("leaps", 1) is looking


def test_undo_and_redo_lead_through_all_that_was() -> None:
    history = History(START)
    seen = [START]
    for step in range(1, 40):
        seen.append(START.with_slider("motion", step % 4 + 1).with_text(f"C: I {step}"))
        history = history.change(seen[-1])
    for choices in reversed(seen[:-1]):
        history = history.undo()
        assert history.present == choices
    assert history.undo() == history
    for choices in seen[1:]:
        history = history.redo()
        assert history.present == choices
    assert history.redo() == history


def test_a_change_gives_up_what_was_undone() -> None:
    history = History(START).change(START.with_pin(E4)).undo().change(START.with_pin(G4))
    assert history.redo() == history
    assert history.undo().present == START


def test_one_stroke_is_one_change_until_another_begins() -> None:
    history = History(START)
    for step in (1, 2, 3):
        history = history.change(START.with_slider("motion", step), stroke="motion")
    assert history.undo().present == START
    history = history.change(START.with_slider("motion", 4), stroke="motion again")
    assert history.undo().present == START.with_slider("motion", 3)


def test_the_same_again_is_no_change() -> None:
    assert History(START).change(START).past == ()


def test_looking_elsewhere_is_not_undone() -> None:
    assert History(START).look(START.with_chosen((0, 1))).past == ()
