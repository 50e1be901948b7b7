"""Chords and key regions searched together: equal to trying every way."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

import harmony
from harmony.harmonising.counted import find_limited
from harmony.harmonising.idiom import load_idiom
from harmony.harmonising.limits import Limit
from harmony.harmonising.regions import Regions, find_joint, lay_regions
from harmony.harmonising.vocabulary import build_vocabulary
from harmony.pitch import Key
from harmony.resources import find_corpora


def cost_of(way, where, nodes, steps, regions):
    total = sum(nodes[t, chord] for t, chord in enumerate(way))
    total += sum(steps[t][way[t], way[t + 1]] for t in range(len(steps)))
    return total + sum(regions.cost_at(way, where, t) for t in range(len(way)))


def test_joint_search_equals_trying_every_way_with_and_without_limits():
    rng = np.random.default_rng(5)
    keys = tuple(Key.from_text(name) for name in ("C", "G"))
    for _ in range(12):
        nodes = rng.integers(0, 12, (4, 3)).astype(float)
        steps = [rng.integers(0, 12, (3, 3)).astype(float) for _ in range(3)]
        regions = Regions(keys, rng.integers(0, 6, (2, 3)).astype(float), 3.0)
        limit = Limit(rng.random((4, 3)) < 0.5, 1, 3)
        ways = list(product(product(range(3), repeat=4), product(range(2), repeat=4)))
        costs = [cost_of(way, where, nodes, steps, regions) for way, where in ways]
        path, where, value = find_joint(nodes, steps, regions)
        assert value == min(costs) == cost_of(path, where, nodes, steps, regions)
        kept = [
            cost
            for (way, _), cost in zip(ways, costs, strict=True)
            if 1 <= sum(limit.counts[t, way[t]] for t in range(4)) <= 3
        ]
        path, where, value = find_limited(nodes, steps, [limit], (1, 1, 1, 1), regions)
        assert value == (min(kept) if kept else np.inf)
        if kept:
            assert value == cost_of(path, where, nodes, steps, regions)


def test_a_chord_of_the_key_costs_nothing_at_home():
    vocabulary = build_vocabulary(load_idiom("common-practice"), Key.from_text("C"))
    regions = lay_regions(vocabulary)
    assert str(regions.keys[0]) == "C"
    (tonic,) = vocabulary.find(0, "maj", 0)
    assert regions.costs[0, tonic] == 0
    (applied,) = vocabulary.find(2, "dom7", 2)
    dominant = [str(key) for key in regions.keys].index("G")
    assert regions.costs[dominant, applied] < regions.costs[0, applied]


def test_regions_count_in_what_a_harmonisation_costs():
    theme = harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))
    near = harmony.harmonise(theme, count=1, weights={"key_distance": 2.0}).alternative(1)
    far = harmony.harmonise(theme, count=1, weights={"key_distance": 0.0}).alternative(1)
    assert near.terms["key_distance"] > 0 == far.terms["key_distance"]
    assert near.cost == pytest.approx(sum(near.terms.values()))
