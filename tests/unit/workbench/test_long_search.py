"""A search over many voices: the desk says how far it is, and ends it in time."""

from __future__ import annotations

from harmony.search import Progress
from harmony.voicings import problem as problem_module
from harmony.workbench.progression.opening import opening_choices
from harmony.workbench.progression.presenter import present_result
from harmony.workbench.progression.searching import (
    LONGEST_SECONDS,
    TOLD_AFTER_SECONDS,
    LongSearch,
)
from harmony.workbench.progression.work import find_alternatives, find_best, prepare_text


class Clock:
    """A clock that goes on by some seconds whenever it is looked at."""

    def __init__(self, step):
        self.now, self.step = 0.0, step

    def __call__(self):
        self.now += self.step
        return self.now


def test_nothing_is_said_of_a_short_search_and_a_long_one_tells_how_far_it_is():
    said = []
    search = LongSearch(said.append, clock=Clock(TOLD_AFTER_SECONDS / 2.5))
    assert search(Progress(0.1, 407.0, 150.0))
    assert not said
    assert all(search(Progress(0.4, 407.0, 242.5)) for _ in range(2))
    assert said[0] == (
        "Searching, 40% done: found so far for 407; nothing can cost less than 242.5."
    )


def test_a_search_that_is_too_long_is_ended_with_what_it_has(monkeypatch):
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    prepare_text.cache_clear()
    choices = opening_choices().with_text("D: I V65 | vi IV | V7 I").with_ensemble("string quintet")
    try:
        proven = find_best(choices)
        ended = find_best(choices, LongSearch(lambda text: None, clock=Clock(LONGEST_SECONDS)))
        several = find_alternatives(
            choices, LongSearch(lambda text: None, clock=Clock(LONGEST_SECONDS))
        )
    finally:
        prepare_text.cache_clear()
    assert proven.shown.outcome.status == "optimal"
    for work in (ended, several):
        assert work.shown.outcome.status == "stopped"
        assert work.shown.outcome.lower_bound <= proven.shown.cost <= work.shown.cost
        assert "The search was stopped" in present_result(work)
