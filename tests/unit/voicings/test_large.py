"""Many voices: searched within bounds, with the same answers as from a whole table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from harmony.errors import HarmonyError, NoSolutionError
from harmony.instruments.catalogue import ensemble
from harmony.search import compiled
from harmony.voicings import problem as problem_module
from harmony.voicings.api import prepare
from harmony.voicings.costs import Term
from harmony.voicings.measures import SeparateMeasures
from harmony.voicings.pricing import price_here, price_rules
from harmony.voicings.rules import KeepsShape, NoConsecutivePerfects, RuleSet

TEXT = "C: I IV6 | V7 I"


def choir_in(count):
    """A choir with its parts divided."""
    choir = ensemble("SATB choir")
    order = (0, 1, 2, 3, 0, 2, 1, 3)[:count]
    voices = tuple(
        replace(choir.voices[part], name=f"{choir.voices[part].name} {number}")
        for number, part in enumerate(sorted(order), start=1)
    )
    gaps = (*(12,) * (count - 2), 24)
    return replace(choir, voices=voices, gaps=gaps, groups=(), staves=())


@pytest.fixture
def everything_is_large(monkeypatch):
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)


@pytest.mark.parametrize("preset", ["strings", "brass", "parallel", "free"])
def test_within_bounds_the_answers_are_those_of_the_whole_table(preset, monkeypatch):
    players = choir_in(5)
    whole = prepare(TEXT, players, preset=preset)
    expected = whole.best(), whole.k_best(4), whole.unlike(3, 2), whole.prices()
    assert not whole.is_large
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    bounded = prepare(TEXT, players, preset=preset)
    assert bounded.is_large
    best = bounded.best()
    assert (best.cost, best.outcome.status) == (expected[0].cost, "optimal")
    assert [one.cost for one in bounded.k_best(4)] == [one.cost for one in expected[1]]
    assert [one.cost for one in bounded.unlike(3, 2)] == [one.cost for one in expected[2]]
    for ours, theirs in zip(bounded.prices(), expected[3], strict=True):
        for some, every in zip(ours, theirs, strict=True):
            assert some
            assert all(every[pitch] == pytest.approx(cost) for pitch, cost in some.items())


CHORDS = "C: I V65/V | V7 vi | N6 V | viio6 bVI I6"


@pytest.mark.parametrize("preset", ["chorale", "strings", "brass", "free", "keyboard"])
@pytest.mark.parametrize("voices", [5, 6, 8])
def test_steps_told_by_halves_are_those_of_the_costs(voices, preset):
    rng = np.random.default_rng(voices)
    problem = prepare(CHORDS, choir_in(voices), preset=preset)
    for steps in problem.layers.pair:
        split = steps.split()
        rows, columns = (rng.integers(0, size, 40) for size in steps.shape)
        assert split.names == steps.names
        assert np.array_equal(split.block(rows, columns), steps.block(rows, columns))


def test_steps_told_by_halves_know_voices_that_double_others_and_silence():
    rules = RuleSet(doublings=(("Bass 5", "Tenor 4", -1),))
    problem = prepare("C: I V65 | N.C. | V7 vi", choir_in(5), rules, preset="strings")
    for steps in problem.layers.pair:
        everything = [np.arange(size) for size in steps.shape]
        assert np.array_equal(steps.split().block(*everything), steps.block(*everything))


def check_halves(problem):
    """What is told by halves is what the costs and rules say, on steps drawn at random."""
    rng = np.random.default_rng(len(problem.ensemble))
    for steps in problem.layers.pair:
        split = steps.split()
        rows, columns = (rng.integers(0, size, 40) for size in steps.shape)
        assert np.array_equal(split.block(rows, columns), steps.block(rows, columns))
        free = steps.allowed(rows, columns)
        assert np.array_equal(
            split.allowed(rows, columns), free if free is None else np.asarray(free)
        )


@pytest.mark.parametrize("voices", [5, 8])
def test_planing_rules_on_steps_and_asked_movement_are_told_by_halves(voices):
    players = choir_in(voices)
    check_halves(prepare(CHORDS, players, preset="parallel"))
    strict = RuleSet(steps=(NoConsecutivePerfects(), KeepsShape(6)))
    check_halves(prepare(CHORDS, players, strict, preset="strings"))
    movement = {
        players.voices[2].name: ["passing", "suspension"],
        players.voices[-1].name: "passing",
        players.voices[0].name: ["neighbour", "passing"],
    }
    check_halves(prepare(CHORDS, players, preset="strings", movement=movement))


def test_no_way_under_a_rule_is_proven_and_told_with_rule_and_chord(monkeypatch):
    strict = RuleSet(steps=(NoConsecutivePerfects(),))
    players = choir_in(8)

    def ask():
        with pytest.raises(NoSolutionError) as told:
            prepare("C: I IV6 | V7 I", players, strict, preset="strings").best()
        assert told.value.rule == "no consecutive perfects"
        return str(told.value)

    whole = ask()
    assert whole.startswith("No way leads from ")
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    assert ask() == whole


def test_movement_of_no_kind_is_none_asked_for():
    asked = prepare(TEXT, "string quartet", movement={"Viola": []})
    assert asked.moving == ()
    assert asked.best().cost == prepare(TEXT, "string quartet").best().cost


class FirstVoiceStays:
    """A rule of a composer's own, which nobody here knows."""

    name = "the first voice stays near"

    def allows(self, steps):
        return steps.sizes[-1] <= 9


@dataclass(frozen=True, slots=True)
class WideMoves(Term):
    """A cost of a composer's own that looks at each voice by itself."""

    def voice_share(self, steps, voice):
        return 3 * (steps.sizes[voice] > 4)


@dataclass(frozen=True, slots=True)
class WidestMove(Term):
    """A cost of a composer's own that looks at all voices together."""

    def pair(self, steps):
        return np.where(steps.sizes.max(axis=0) > 7, 5, 0)


def with_cost(text, voices, cost):
    """A problem whose motion is measured by a cost of one's own."""
    problem = prepare(text, choir_in(voices), preset="strings")
    costs = tuple(cost if one.name == "leaps" else one for one in problem.costs)
    return replace(problem, preset=replace(problem.preset, measures=SeparateMeasures(costs)))


def test_a_cost_of_one_s_own_by_voice_is_told_by_halves_in_eight_voices(monkeypatch):
    own = WideMoves("leaps", "move", "moves wider than a third")
    many = with_cost("C: I V65 | vi", 8, own)
    check_halves(many)
    some = [np.arange(0, size, 97) for size in many.layers.pair[0].shape]
    assert many.layers.pair[0].block(*some)[many.costs.index(own)].max() > 0
    expected = with_cost(TEXT, 5, own).best()
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    assert with_cost(TEXT, 5, own).best().pitches == expected.pitches


def test_a_cost_of_one_s_own_on_all_voices_tells_its_bound_and_can_be_stopped(monkeypatch):
    own = WidestMove("leaps", "move", "a move wider than a fifth")
    expected = with_cost(TEXT, 5, own).best()
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    problem = with_cost(TEXT, 5, own)
    assert problem.layers.pair[0].split() is None
    told = []

    def watch(progress):
        told.append(progress)
        return len(told) < 3

    stopped = problem.best(report=watch)
    assert stopped.outcome.status == "stopped"
    assert [one.lower_bound for one in told] == sorted(one.lower_bound for one in told)
    assert told[-1].lower_bound <= expected.cost <= stopped.cost
    assert problem.best().pitches == expected.pitches


def test_a_rule_of_another_kind_is_not_told_by_halves_and_keeps_the_older_way(monkeypatch):
    own = RuleSet(steps=(FirstVoiceStays(),))
    whole = prepare(TEXT, choir_in(5), own, preset="strings")
    expected = whole.best()
    assert whole.layers.pair[0].split() is None
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    bounded = prepare(TEXT, choir_in(5), own, preset="strings")
    assert bounded.best().cost == expected.cost
    assert bounded.best().outcome.status == "optimal"


@pytest.mark.parametrize("text", [TEXT, "C: I | V7 vi | IV V I"])
@pytest.mark.parametrize("tolerance", [None, 3, 7])
def test_within_bounds_rules_and_movement_have_the_answers_of_the_whole_table(
    text, tolerance, monkeypatch
):
    players = choir_in(5)
    steps = (NoConsecutivePerfects(),) if tolerance is None else (KeepsShape(tolerance),)
    movement = {players.voices[1].name: ["passing", "suspension"]}
    asked = {"rules": RuleSet(steps=steps), "movement": movement, "preset": "strings"}

    def solve():
        problem = prepare(text, players, **asked)
        try:
            best = problem.best()
        except NoSolutionError as fault:
            return str(fault)
        assert best.outcome.status == "optimal"
        return best.cost, [one.cost for one in problem.unlike(3, 2)], problem.prices()

    expected = solve()
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    assert solve() == expected


@pytest.mark.usefixtures("everything_is_large")
def test_eight_voices_are_proven_and_few_steps_are_worked_out():
    problem = prepare(TEXT, choir_in(8), preset="strings")
    assert problem.is_large
    best = problem.best()
    assert best.outcome.status == "optimal"
    assert best.outcome.lower_bound == best.cost
    sizes = problem.layers.sizes
    all_steps = sum(n * m for n, m in pairwise(sizes))
    assert best.outcome.counts.steps < all_steps / 4


@pytest.mark.usefixtures("everything_is_large")
def test_stopping_keeps_the_best_so_far_and_says_how_far_off_it_may_be():
    problem = prepare(TEXT, choir_in(6), preset="strings")
    proven = problem.best()
    seen = []
    stopped = problem.best(report=lambda progress: seen.append(progress) or len(seen) < 3)
    assert stopped.outcome.status == "stopped"
    assert stopped.outcome.lower_bound <= proven.cost <= stopped.cost
    assert all(progress.lower_bound <= progress.value for progress in seen)
    told = stopped.to_json()
    assert told["status"] == "stopped"
    assert told["lower_bound"] <= told["cost"]
    assert problem.best().cost == proven.cost


@pytest.mark.usefixtures("everything_is_large")
def test_without_the_extra_the_answer_is_the_same_and_says_that_it_could_come_faster(monkeypatch):
    problem = prepare(TEXT, choir_in(5), preset="strings")
    fast = problem.best()
    assert "note" not in fast.to_json()
    monkeypatch.setattr(compiled, "find_spec", lambda name: None)
    compiled.is_installed.cache_clear()
    try:
        slow = problem.best()
    finally:
        monkeypatch.undo()
        compiled.is_installed.cache_clear()
    assert slow.pitches == fast.pitches
    assert "pip install .[fast]" in slow.to_json()["note"]


def list_prices(prices):
    return {(price.rule, price.slot): pytest.approx(price.saving) for price in prices}


@pytest.mark.parametrize("preset", ["strings", "brass", "parallel"])
def test_prices_of_rules_within_bounds_are_those_of_the_whole_table(preset, monkeypatch):
    players, pins = choir_in(5), ("1.1 Soprano 1=E5",)
    whole = prepare(TEXT, players, preset=preset)
    expected = price_here(whole, pins=pins), price_rules(whole, pins=pins)
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    bounded = prepare(TEXT, players, preset=preset)
    found = price_here(bounded, pins=pins), price_rules(bounded, pins=pins)
    assert found[0]
    for ours, theirs in zip(found, expected, strict=True):
        assert list_prices(ours) == list_prices(theirs)
        assert all(price.at_most == price.saving for price in ours)


@pytest.mark.usefixtures("everything_is_large")
def test_prices_that_are_not_exact_say_what_is_saved_at_the_most(monkeypatch):
    own = RuleSet(steps=(FirstVoiceStays(),))
    bounded = price_here(prepare(TEXT, choir_in(5), own, preset="strings"))
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 2**24)
    exact = price_here(prepare(TEXT, choir_in(5), own, preset="strings"))
    told = {(price.rule, price.slot): price for price in bounded}
    for price in exact:
        ours = told[price.rule, price.slot]
        assert ours.saving <= price.saving + 1e-9 <= ours.at_most + 2e-9
    assert any("or more, and at most" in price.words for price in bounded)


@pytest.mark.usefixtures("everything_is_large")
def test_prices_are_stopped_with_a_sentence_and_stopped_rules_with_a_bound():
    problem = prepare(TEXT, choir_in(5), preset="strings")
    for ask in (problem.prices, lambda report: price_here(problem, report=report)):
        with pytest.raises(HarmonyError, match="not worked out, as the search was stopped"):
            ask(report=lambda _progress: False)
    exact = list_prices(price_rules(problem))
    for price in price_rules(problem, report=lambda _progress: False):
        saving = exact[price.rule, None].expected
        assert price.saving - 1e-9 <= saving <= price.at_most + 1e-9
