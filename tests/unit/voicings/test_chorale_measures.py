"""The chorale preset in four parts adds up to the learnt cost."""

from __future__ import annotations

import numpy as np
import pytest

from harmony.voicings import learnt_chorale
from harmony.voicings.api import prepare
from harmony.voicings.chorale_measures import ADDED, build_chorale_measures
from harmony.voicings.costs import TERM_NAMES, standard_costs

TEXT = "Eb: I V65 | vi ii65 | V7/V V7 | I"


def test_at_their_shares_the_terms_are_the_learnt_cost():
    problem = prepare(TEXT, "SATB choir")
    measures = problem.preset.measures
    rates = np.array([s / learnt_chorale.GRAIN for s in measures.shares])
    rates[TERM_NAMES.index("resolution")] = 1 / learnt_chorale.GRAIN
    voicings = problem.layout.voicings
    for before, after, pair in zip(voicings, voicings[1:], problem.layers.pair, strict=False):
        key = after.sonority.key
        rows, cols = np.arange(len(before)), np.arange(len(after))
        learnt = learnt_chorale.pair_terms(before.pitches, after.pitches, key).sum(axis=0)
        ours = np.tensordot(rates, pair.block(rows, cols), axes=1)
        assert np.allclose(ours, learnt / learnt_chorale.GRAIN)
        single = learnt_chorale.single_terms(after.pitches, key).sum(axis=0)
        ours = rates @ measures.measure_voicings(after)
        assert np.allclose(ours, single / learnt_chorale.GRAIN)


def test_the_tables_know_nothing_of_the_terms_that_are_added():
    voicings = np.array([[48, 55, 64, 72], [43, 59, 62, 67]])
    for table in (
        learnt_chorale.single_terms(voicings, None),
        learnt_chorale.pair_terms(voicings, voicings, None).reshape(16, -1),
    ):
        for term in ADDED:
            assert not table[TERM_NAMES.index(term)].any()


def test_a_semitone_of_motion_stays_a_semitone():
    weights = dict.fromkeys(TERM_NAMES, 0) | {"motion": 1}
    best = prepare(TEXT, "SATB choir").best(weights)
    midi = np.array([[p.midi for p in chord] for chord in best.pitches])
    assert best.cost == np.abs(np.diff(midi, axis=0)).sum()


def test_shares_finer_than_the_tables_are_refused():
    shares = dict.fromkeys(TERM_NAMES, 0.0) | {"motion": 0.123}
    with pytest.raises(ValueError, match="motion"):
        build_chorale_measures(standard_costs(), shares)
