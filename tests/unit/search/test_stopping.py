"""Lists and tables in the making are left wherever one asks, and made anew afterwards."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import pytest

from harmony.errors import HarmonyError
from harmony.search import StoppedError, stop_if_asked, stoppable
from harmony.voicings import problem as problem_module
from harmony.voicings.api import prepare
from harmony.voicings.problem import Problem

TEXT = "D: I V65 | vi IV | V7 I"


class Patience:
    """Says that it is over when it is asked for the `last` time, and ever after."""

    def __init__(self, last: int) -> None:
        self.left = last

    def __call__(self) -> bool:
        self.left -= 1
        return self.left <= 0


def test_nobody_is_asked_who_does_not_wait() -> None:
    stop_if_asked()
    with stoppable(lambda: True):
        with stoppable(lambda: False):
            stop_if_asked()
        with pytest.raises(StoppedError, match="stopped before it had found anything"):
            stop_if_asked()
    stop_if_asked()


def ask_until_done(ask: Callable[[Problem], object]) -> tuple[int, object]:
    """Stop a fresh problem at its first question, its second, ...; how often, and the answer."""
    for last in itertools.count(1):
        problem = prepare(TEXT, "string quartet")
        patience = Patience(last)
        try:
            with stoppable(patience):
                answer = ask(problem)
        except HarmonyError:
            # What was left is made anew: the same problem still gives its answer.
            if last == 1:
                assert problem.best().outcome.status == "optimal"
            continue
        if patience.left > 0:
            return last - 1, answer
    raise AssertionError


def test_tables_can_be_left_at_every_chord_and_every_step() -> None:
    stops, answer = ask_until_done(lambda problem: problem.best().cost)
    assert stops >= 6 + 6 + 5  # voicings listed, measured, their steps
    assert answer == prepare(TEXT, "string quartet").best().cost


def test_alternatives_among_tables_can_be_left() -> None:
    expected = [one.cost for one in prepare(TEXT, "string quartet").unlike(3, 2)]
    _, answer = ask_until_done(lambda problem: [one.cost for one in problem.unlike(3, 2)])
    assert answer == expected


def test_what_is_made_for_large_problems_can_be_left(monkeypatch: pytest.MonkeyPatch) -> None:
    expected = [one.cost for one in prepare(TEXT, "string quartet").unlike(3, 2)]
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    stops, _ = ask_until_done(lambda problem: problem.best().cost)
    assert stops >= 6 + 6 + 5 + 5  # listed, measured, halved, and the first good path
    problem = prepare(TEXT, "string quartet")
    found = problem.best()
    # Once the best is proven, stopping the rest gives it as far as that goes.
    with stoppable(lambda: True), pytest.raises(StoppedError):
        problem.best()
    for last in itertools.count(1):
        patience = Patience(last)
        try:
            with stoppable(patience):
                several = problem.unlike(3, 2)
        except StoppedError:
            continue
        assert several[0].cost == found.cost
        if several[0].outcome.status == "optimal":
            assert [one.cost for one in several] == expected
            break
