"""What rules and terms cost, and what alternatives are called."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from harmony.search import stoppable
from harmony.voicings import naming
from harmony.voicings.api import prepare
from harmony.voicings.costs import Term
from harmony.voicings.measures import SeparateMeasures
from harmony.voicings.naming import name_alternatives
from harmony.voicings.pricing import price_here, price_pin, price_rules
from harmony.voicings.rules import NoConsecutivePerfects, RuleSet

TEXT = "C: I ii | iii IV | V vi"


def test_the_price_of_a_rule_is_the_difference_of_two_optima():
    strict = prepare(TEXT, "string quartet", RuleSet(steps=(NoConsecutivePerfects(),)))
    weights = {"consecutive_perfects": 0, "motion": 2}
    prices = {price.rule: price for price in price_rules(strict, weights)}
    loose = prepare(TEXT, "string quartet", RuleSet())
    saving = strict.best(weights).cost - loose.best(weights).cost
    assert saving > 0
    assert prices["consecutive perfects"].saving == pytest.approx(saving)
    assert prices["consecutive perfects"].words == f"allowing consecutive perfects saves {saving:g}"
    assert all(price.saving >= -1e-9 for price in prices.values())


def test_the_price_of_a_term_at_one_chord_is_exact():
    problem = prepare(TEXT, "string quartet")
    best = problem.best().cost
    layers, costs = problem.layers, problem.costs
    prices = price_here(problem)
    assert prices == tuple(sorted(prices, key=lambda price: -price.saving))
    fifths = [price for price in prices if price.rule == "consecutive_perfects"]
    assert fifths
    for price in (*fifths, *prices[:6]):
        # Plain dynamic programming, the term left out at this chord alone.
        rates = np.array([problem.preset.weights[c.name] / c.grain for c in costs])
        eased = np.where([c.name == price.rule for c in costs], 0, rates)
        ahead = None
        for place in range(len(layers.sizes) - 1, -1, -1):
            here = (eased if place == price.slot else rates) @ layers.single[place]
            if ahead is not None:
                rows, cols = (np.arange(n) for n in layers.pair[place].shape)
                steps = np.tensordot(
                    eased if place + 1 == price.slot else rates,
                    layers.pair[place].block(rows, cols),
                    axes=1,
                )
                here = here + (steps + ahead).min(axis=1)
            ahead = here
        assert best - ahead.min() == pytest.approx(price.saving)
    place = problem.progression.slots[fifths[0].slot].place
    assert fifths[0].words.startswith(f"allowing consecutive fifths and octaves at {place} saves ")


def test_the_price_of_a_pin_is_none_where_it_cannot_be():
    problem = prepare(TEXT, "string quartet")
    free = problem.best()
    assert price_pin(problem, f"1.1 Viola={free.pitches[0][2]}") == pytest.approx(0)
    assert price_pin(problem, "1.1 Viola=D4") is None


def test_alternatives_have_names_that_tell_them_apart():
    for players in ("SATB choir", "string quartet", "brass quintet"):
        found = prepare("C: I vi | IV ii | V I", players).unlike(5, 3)
        names = name_alternatives(found)
        assert len(set(names)) == len(names) == 5
        heights = [np.mean([p.midi for chord in one.pitches for p in chord]) for one in found]
        for name, height in zip(names, heights, strict=True):
            if "higher" in name:
                assert height > np.mean(heights)
            if "lower" in name:
                assert height < np.mean(heights)
    assert name_alternatives(()) == ()


class AlwaysUp(Term):
    """A cost of a composer's own, with a name and a sentence and nothing else said."""

    def pair(self, steps):
        return (steps.moves >= 0).all(axis=0).astype(np.int16)


def test_a_cost_of_one_s_own_is_priced_and_named_too():
    problem = prepare("C: I | ii | iii", "string quartet")
    own = AlwaysUp("always_up", "step", "steps in which no voice falls")
    preset = problem.preset
    costs = (*preset.costs, own)
    weights = dict.fromkeys(preset.weights, 0.0) | {"always_up": 3.0}
    problem = replace(
        problem, preset=replace(preset, measures=SeparateMeasures(costs), weights=weights)
    )
    upward = {1: "C5 G4 E4 C3", 2: "D5 A4 F4 D3"}
    pins = [
        f"{bar}.1 {voice.name}={pitch}"
        for bar, pitches in upward.items()
        for voice, pitch in zip(problem.ensemble.voices, pitches.split(), strict=True)
    ]
    (saving,) = [price for price in price_here(problem, pins=pins) if price.saving]
    assert saving.words == "allowing steps in which no voice falls at bar 2 beat 1 saves 3"
    cheaper, dearer = problem.best({"motion": 1}), problem.best(pins=pins)
    assert naming._better_term(cheaper, [cheaper, dearer]) == "better in always up"


def test_each_price_of_a_rule_is_told_as_soon_as_it_is_known():
    problem = prepare("C: I | V7 | vi", "string quartet")
    told = []
    prices = price_rules(problem, each=told.append)
    assert sorted(told, key=lambda price: -price.saving) == list(prices)
    assert len(told) >= 5


def test_rules_not_priced_when_stopped_are_told_with_what_they_save_at_the_most():
    problem = prepare("C: I | V7 | vi", "string quartet")
    best, told = problem.best(), []
    with stoppable(lambda: len(told) > 1):
        price_rules(problem, each=told.append)
    exact = {price.rule: price for price in price_rules(problem)}
    assert told[:2] == [exact[price.rule] for price in told[:2]]
    assert [(price.saving, price.at_most) for price in told[2:]] == [(0.0, best.cost)] * 3
