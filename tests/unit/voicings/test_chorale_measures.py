"""The terms of the chorale preset in four parts are what the tables file under them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from harmony.learning.chorale_zero import write_zero
from harmony.pitch.key import Key
from harmony.resources import find_data
from harmony.voicings import learnt_chorale
from harmony.voicings.api import prepare
from harmony.voicings.change import as_voicings
from harmony.voicings.chorale_measures import (
    ADDED,
    ALL_ELSE,
    LEARNT,
    ORDINARY,
    SHARE,
    SHARED_UP_TO,
    even_out,
)
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.learnt_chorale import ZERO
from harmony.voicings.presets import load_preset
from harmony.voicings.rules import RuleSet
from harmony.voicings.steps import Steps

MOTION = TERM_NAMES.index("motion")
TEXT = "Eb: I V65 | vi ii65 | V7/V V7 | I"


def test_the_terms_are_the_learnt_split():
    problem = prepare(TEXT, "SATB choir")
    measures = problem.preset.measures
    learnt_places = [TERM_NAMES.index(term) for term in TERM_NAMES if term in LEARNT]
    voicings = problem.layout.voicings
    for before, after, pair in zip(voicings, voicings[1:], problem.layers.pair, strict=False):
        key = after.sonority.key
        rows, cols = np.arange(len(before)), np.arange(len(after))
        learnt = learnt_chorale.pair_terms(before.pitches, after.pitches, key)
        ours = pair.block(rows, cols)
        moved = np.abs(after.pitches[None] - before.pitches[:, None]).sum(axis=2)
        assert np.array_equal(ours[MOTION], moved)
        shared = np.minimum(np.abs(after.pitches[None] - before.pitches[:, None]), SHARED_UP_TO)
        learnt[TERM_NAMES.index("resolution")] += learnt[MOTION] - SHARE * shared.sum(axis=2)
        assert np.array_equal(ours[learnt_places], learnt[learnt_places])
        single = learnt_chorale.single_terms(after.pitches, key)
        ours = measures.measure_voicings(after)
        assert np.array_equal(ours[learnt_places], single[learnt_places])
        for place in set(range(len(TERM_NAMES))) - set(learnt_places):
            plain = problem.costs[place].single(after)
            assert np.array_equal(ours[place], 0 * ours[place] if plain is None else plain)


def test_a_learnt_unit_weighs_as_learnt():
    preset = load_preset("chorale", 4)
    for cost in preset.costs:
        if cost.name in LEARNT:
            assert preset.weights[cost.name] == 1
            assert cost.grain == learnt_chorale.GRAIN
            assert "Bach" in cost.sentence


FOUR_PITCHES = arrays(np.int16, (6, 4), elements=st.integers(21, 108))
CHOIR_PITCHES = st.lists(
    st.tuples(st.integers(40, 62), st.integers(48, 69), st.integers(53, 74), st.integers(60, 81)),
    min_size=6,
    max_size=6,
).map(lambda rows: np.array(rows, np.int16))
KEYS = st.sampled_from((None, *map(Key.from_text, ("C", "d", "Eb", "F#"))))


@given(st.one_of(FOUR_PITCHES, CHOIR_PITCHES), KEYS)
@settings(max_examples=120)
def test_no_term_of_any_four_pitches_lies_below_0(pitches, key):
    measures = load_preset("chorale", 4).measures
    voicings = [as_voicings(row[None], key) for row in pitches]
    for before, after in pairwise(voicings):
        assert measures.measure_voicings(after).min() >= 0
        assert measures.measure_steps(Steps(before, after)).min() >= 0


def test_no_term_of_a_choir_lies_below_0():
    for text in (
        "C: I IV | V I | vi ii6 | V7 I | iii IV6 | viio6 I6",
        "d: i iv6 | V VI | iio6 V65 | i N6 | V42 i6 | viio7 i",
        "A: V43 I | V7/IV IV | V65/V V42 | I6 ii7 | I64 V7 | vi",
    ):
        layers = prepare(text, "SATB choir").layers
        assert min(terms.min() for terms in layers.single) >= 0
        for pair in layers.pair:
            assert pair.block(*(np.arange(n) for n in pair.shape)).min() >= 0


def test_what_every_chord_pays_is_what_the_script_finds():
    assert write_zero() == find_data(*ZERO.split("/")).read_text(encoding="utf-8")


def test_the_bill_names_the_fault():
    pins = ["1.1 Soprano=C5", "1.1 Alto=G4", "1.1 Tenor=E4"]
    pins += ["1.3 Soprano=D5", "1.3 Alto=A4", "1.3 Tenor=F4"]
    rules = RuleSet(steps=())
    best = prepare("C: I ii", "SATB choir", rules).best(pins=pins)
    found = {charge.words: charge for charge in best.charges[1]}
    fifths = found["Consecutive octaves between Soprano and Bass"]
    assert fifths.term == "consecutive_perfects"
    assert fifths.cost > 2
    for slot, charges in enumerate(best.charges):
        billed = sum(charge.cost for charge in charges)
        assert billed == pytest.approx(best.slot_costs[slot].sum())


def test_the_bill_tells_what_is_dearer_than_usual_and_the_rest_in_two_lines():
    best = prepare("C: I IV | V7 I | vi ii6 | V I", "SATB choir").best()
    ordinary = set()
    for slot, charges in enumerate(best.charges):
        words = [charge.words for charge in charges]
        assert len(words) == len(set(words))
        assert sum(charge.cost for charge in charges) == pytest.approx(best.slot_costs[slot].sum())
        paid = [c.cost for c in charges if c.words.lower() == ORDINARY]
        ordinary.update((bool(slot), round(cost, 6)) for cost in paid)
        assert len(paid) == 1
        for charge in charges:
            if charge.words.lower() != ALL_ELSE:
                assert charge.cost > 0.0499
            assert "nothing is doubled" not in charge.words.lower()
    assert len(ordinary) == 2, "one price for the first chord, one for every other"
    told = best.to_json()
    assert sum(told["ordinary"].values()) == pytest.approx(best.ordinary_costs.sum())
    assert sum(slot["ordinary"]["resolution"] for slot in told["slots"][1:]) == pytest.approx(
        told["ordinary"]["resolution"]
    )
    assert "ordinary" not in prepare("C: I V", "string quartet").best().to_json()


@given(st.lists(st.integers(-300, 900), min_size=1, max_size=6))
def test_evening_out_keeps_the_total(amounts):
    evened = even_out(amounts)
    assert sum(evened) == sum(amounts)
    if sum(amounts) >= 0:
        assert min(evened) >= 0


def test_the_tables_know_nothing_of_the_terms_that_are_added():
    voicings = np.array([[48, 55, 64, 72], [43, 59, 62, 67]])
    for table in (
        learnt_chorale.single_terms(voicings, None),
        learnt_chorale.pair_terms(voicings, voicings, None).reshape(16, -1),
    ):
        for term in set(ADDED) - {"motion"}:
            assert not table[TERM_NAMES.index(term)].any()


def test_a_semitone_of_motion_stays_a_semitone():
    weights = dict.fromkeys(TERM_NAMES, 0) | {"motion": 1}
    best = prepare(TEXT, "SATB choir").best(weights)
    midi = np.array([[p.midi for p in chord] for chord in best.pitches])
    assert best.cost == np.abs(np.diff(midi, axis=0)).sum()
