"""The idiom changes at a bar: each stretch keeps its own, the joint is searched with the rest."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

import numpy as np
import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.again import closer
from harmony.harmonising.chain import find_best
from harmony.harmonising.compare import chord_at, root_difference
from harmony.resources import find_corpora


@pytest.fixture(scope="module")
def shuttle():
    return harmony.open_theme(find_corpora("loom_hall", "shuttle.abc"))


@pytest.fixture(scope="module")
def changed(shuttle):
    return harmony.harmonise(shuttle, idioms=("modal, from bar 5 quartal",), count=3)


def test_each_stretch_has_the_chords_of_its_idiom(changed):
    for one in changed.alternatives:
        assert one.idiom == "modal, from bar 5 quartal"
        for slot in one.progression:
            assert slot.chord.stacked == (slot.bar >= 5)
        assert one.progression.end == changed.melody.end
        assert one.cost == pytest.approx(sum(sum(terms.values()) for terms in one.slot_terms))
    apart = [root_difference(a, b) for a, b in combinations(changed.alternatives, 2)]
    assert min(apart) >= 0.15


def test_a_stretch_of_planing_takes_its_own_rhythm(shuttle):
    (one,) = harmony.harmonise(
        shuttle, idioms=("pedal, from bar 7 parallel",), count=1
    ).alternatives
    assert all(slot.pedal is not None for slot in one.progression if slot.bar < 7)
    late = [slot for slot in one.progression if slot.bar >= 7]
    assert {slot.chord.quality.name for slot in late} <= {"maj", "min", "dim"}
    # Half bars are the rhythm of the rest; planing changes on any beat.
    assert any(slot.beat in (2, 4) for slot in late)
    assert all(slot.pedal is None for slot in late)


def test_fixed_chords_hold_on_both_sides(shuttle):
    found = harmony.harmonise(
        shuttle, idioms=("modal, from bar 5 third-relations",), count=2, fixed=("2.1=IV", "6.1=G")
    )
    for one in found.alternatives:
        assert chord_at(one, Fraction(4)).root.letter == "G"
        assert chord_at(one, Fraction(20)).root.letter == "G"


def test_chain_takes_vocabularies_of_different_size():
    rng = np.random.default_rng(3)
    nodes = [rng.integers(0, 20, size).astype(float) for size in (3, 3, 5)]
    steps = [rng.integers(0, 20, size).astype(float) for size in ((3, 3), (3, 5))]
    path, value = find_best(nodes, steps)
    costs = {
        way: sum(nodes[t][way[t]] for t in range(3))
        + sum(steps[t][way[t], way[t + 1]] for t in range(2))
        for way in product(range(3), range(3), range(5))
    }
    assert value == min(costs.values()) == costs[tuple(path)]


@pytest.mark.parametrize(
    ("idiom", "words"),
    [
        ("modal, from bar 50 quartal", "cannot change at bar 50; it can at bars 2 to 8"),
        ("modal, from bar 5 quartal, from bar 3 pedal", "it can at bars 6 to 8"),
        ("modal, from bar 5 nope", "no idiom known"),
    ],
)
def test_what_cannot_change_is_told_in_one_sentence(shuttle, idiom, words):
    with pytest.raises(HarmonyError) as refused:
        harmony.harmonise(shuttle, idioms=(idiom,))
    assert words in refused.value.message


def test_an_alternative_of_two_idioms_is_not_searched_again_as_a_whole(changed):
    with pytest.raises(HarmonyError, match="changes its idiom"):
        closer(changed, 1)
