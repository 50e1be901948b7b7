"""What is set at the harmonising desk: every change a new value, one place one fix."""

from __future__ import annotations

from fractions import Fraction

from harmony.workbench.harmonising.state import Choices, Edit, Joint, Question

FIRST = Choices(Question("Shuttle"))


def test_a_fix_replaces_the_fix_at_its_place_and_leaves_what_is_forbidden() -> None:
    fixed = FIRST.with_fixes("3.1=V6").with_fixes("3.1!=ii").with_fixes("3.1=IV")
    assert fixed.question.fixes == ("3.1!=ii", "3.1=IV")
    assert fixed.without_fixes("3.1").question.fixes == ()
    assert FIRST.question.fixes == ()


def test_splitting_undoes_a_join_at_the_same_time() -> None:
    at = Fraction(4)
    joined = FIRST.with_edit(Edit("join", at))
    assert joined.question.rhythm == (Edit("join", at),)
    assert joined.with_edit(Edit("split", at)).question.rhythm == ()


def test_a_joint_belongs_to_the_answers_it_was_made_of() -> None:
    joined = FIRST.with_joint(Joint(1, 2, 5), shown=5)
    assert joined.shown == 5
    asked = joined.with_asking(idioms=("modal",), key="", count=5, pace="usual")
    assert asked.question.turns == ()
    assert joined.with_fixes("1.1=i").question.turns == ()


def test_another_tune_leaves_the_chords_fixed_in_the_old_one() -> None:
    other = FIRST.with_fixes("3.1=V6").with_source("Lamps out")
    assert other.question == Question("Lamps out")


def test_another_pace_leaves_the_changes_of_the_old_rhythm() -> None:
    edited = FIRST.with_edit(Edit("split", Fraction(1)))
    same = edited.with_asking(idioms=("modal",), key="", count=5, pace="usual")
    assert same.question.rhythm == edited.question.rhythm
    slower = edited.with_asking(idioms=("modal",), key="", count=5, pace="slow")
    assert slower.question.rhythm == ()
