"""The searches against enumeration, and their laws."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from harmony.search import (
    ArrayPairs,
    Layers,
    NoPathError,
    best_path,
    best_path_large,
    choice_prices,
    enumerate_paths,
    pack,
    packing,
    pruned,
    ranked_paths,
    search_within,
    unlike_paths,
)
from tests.unit.search.problems import small_problems


def weigh(problem):
    layers, single, pair = problem
    return pack(layers).weigh(np.array(single), np.array(pair))


def every_path(problem):
    return sorted(enumerate_paths(*problem), key=lambda p: (p.value, p.choices))


@given(small_problems())
@settings(max_examples=150)
def test_best_path_equals_enumeration_and_obeys_the_tie_rule(problem):
    paths = every_path(problem)
    if not paths:
        with pytest.raises(NoPathError):
            best_path(weigh(problem))
        return
    outcome = best_path(weigh(problem))
    assert outcome.paths[0] == paths[0]
    assert outcome.status == "optimal"
    assert outcome.lower_bound == outcome.value == paths[0].value


@given(small_problems(), st.integers(1, 40))
@settings(max_examples=100)
def test_ranked_paths_are_the_cheapest_in_order(problem, count):
    paths = every_path(problem)
    assume(paths)
    found = ranked_paths(weigh(problem), count).paths
    assert [p.value for p in found] == [p.value for p in paths[:count]]
    assert len({p.choices for p in found}) == len(found)
    assert {p.choices for p in found} <= {p.choices for p in paths}


@given(small_problems(), st.integers(0, 5), st.integers(1, 4))
@settings(max_examples=100)
def test_unlike_paths_are_each_the_cheapest_far_enough(problem, distance, count):
    paths = every_path(problem)
    assume(paths)
    distance = min(distance, len(problem[0].sizes))
    found = unlike_paths(weigh(problem), count, distance).paths
    kept: list[tuple[int, ...]] = []
    for path in found:
        far = [
            p
            for p in paths
            if all(sum(a != b for a, b in zip(p.choices, k, strict=True)) >= distance for k in kept)
        ]
        assert path.value == far[0].value
        assert path.choices in {p.choices for p in far}
        kept.append(path.choices)
    if len(found) < count:
        assert not any(
            all(sum(a != b for a, b in zip(p.choices, k, strict=True)) >= distance for k in kept)
            for p in paths
        )


@given(small_problems())
@settings(max_examples=100)
def test_prices_are_the_best_through_each_choice(problem):
    paths = every_path(problem)
    assume(paths)
    for layer, prices in enumerate(choice_prices(weigh(problem))):
        for choice, price in enumerate(prices):
            through = [p.value for p in paths if p.choices[layer] == choice]
            assert price == (min(through) if through else np.inf)


@given(small_problems(), st.integers(1, 9))
@settings(max_examples=60)
def test_scaling_all_weights_scales_the_value_and_keeps_the_path(problem, factor):
    layers, single, pair = problem
    assume(every_path(problem))
    plain = best_path(weigh(problem))
    scaled = best_path(weigh((layers, [w * factor for w in single], [w * factor for w in pair])))
    assert scaled.paths[0].choices == plain.paths[0].choices or factor == 0
    assert scaled.value == pytest.approx(plain.value * factor, abs=1e-9)


@given(small_problems())
@settings(max_examples=60)
def test_reading_the_layers_backward_keeps_the_value(problem):
    layers, single, pair = problem
    assume(every_path(problem))
    turned = Layers(
        layers.names,
        layers.single[::-1],
        tuple(
            ArrayPairs(p.names, p.values.transpose(0, 2, 1), p.mask.T) for p in layers.pair[::-1]
        ),
    )
    assert best_path(weigh((turned, single, pair))).value == best_path(weigh(problem)).value


@given(small_problems())
@settings(max_examples=40)
def test_a_search_leaves_its_problem_as_it_was(problem):
    layers = problem[0]
    before = [s.copy() for s in layers.single], [p.values.copy() for p in layers.pair]
    assume(every_path(problem))
    weighed = weigh(problem)
    ranked_paths(weighed, 3)
    choice_prices(weighed)
    assert all(np.array_equal(a, b) for a, b in zip(before[0], layers.single, strict=True))
    assert all(np.array_equal(a, p.values) for a, p in zip(before[1], layers.pair, strict=True))


def without_gifts(layers):
    """The same problem with every term of a step raised from -2 and more to 0 and more."""
    return Layers(
        layers.names,
        layers.single,
        tuple(ArrayPairs(p.names, p.values + 2, p.mask) for p in layers.pair),
    )


@given(small_problems(most_choices=7), st.integers(1, 4))
@settings(max_examples=120)
def test_large_searches_equal_the_plain_ones(problem, count):
    layers, single, pair = problem
    assume(every_path(problem) and len(layers.sizes) > 1)
    lifted = without_gifts(layers)
    rates, pair_rates = np.array(single), np.array(pair)
    masks = [None] * len(layers.sizes)
    plain = ranked_paths(weigh((lifted, single, pair)), count)
    best = best_path_large(lifted, rates, pair_rates, masks)
    assert (best.paths, best.status) == (plain.paths[:1], "optimal")
    if len(plain.paths) == count:
        found = search_within(
            lifted, rates, pair_rates, masks, lambda w, _: ranked_paths(w, count), count=count
        )
        assert [p.value for p in found.paths] == [p.value for p in plain.paths]


def test_a_stopped_search_keeps_its_best_path_and_an_honest_bound():
    rng = np.random.default_rng(7)
    layers = Layers(
        ("a",),
        tuple(rng.integers(0, 9, size=(1, 80)) for _ in range(6)),
        tuple(ArrayPairs(("p",), rng.integers(0, 9, size=(1, 80, 80))) for _ in range(5)),
    )
    one, masks = np.ones(1), [None] * 6
    seen = []

    def stop_after(reports):
        def report(progress):
            seen.append(progress)
            return len(seen) < reports

        return report

    proven = best_path_large(layers, one, one, masks)
    for reports in (1, 3, 8):
        seen.clear()
        stopped = best_path_large(layers, one, one, masks, stop_after(reports))
        assert stopped.status == "stopped"
        assert stopped.lower_bound <= proven.value <= stopped.value
        assert len(seen) == reports
        assert [p.share for p in seen] == sorted(p.share for p in seen)


def test_a_layer_without_choice_and_a_barred_step_are_told_apart():
    one = np.zeros((1, 2), dtype=int)
    barred = ArrayPairs(("p",), np.zeros((1, 2, 2), dtype=int), np.zeros((2, 2), dtype=bool))
    free = ArrayPairs(("p",), np.zeros((1, 2, 2), dtype=int))
    with pytest.raises(NoPathError) as caught:
        best_path(pack(Layers(("a",), (one,) * 3, (free, barred))).weigh(np.ones(1), np.ones(1)))
    assert (caught.value.layer, caught.value.is_step, caught.value.reached) == (2, True, (0, 1))
    weighed = pack(Layers(("a",), (one,) * 3, (free, free))).weigh(np.ones(1), np.ones(1))
    with pytest.raises(NoPathError) as caught:
        best_path(weighed.restrict([None, np.array([False, False]), None]))
    assert (caught.value.layer, caught.value.is_step) == (1, False)


def test_large_weights_neither_round_nor_overflow():
    values = np.array([[[30_000, 30_001], [30_001, 29_999]]], dtype=np.int16)
    layers = Layers(
        ("a",), (np.zeros((1, 2), dtype=np.int16),) * 3, (ArrayPairs(("p",), values),) * 2
    )
    outcome = best_path(pack(layers).weigh(np.ones(1), np.array([123_456.25])))
    assert outcome.value == pytest.approx(2 * 29_999 * 123_456.25, rel=1e-15)
    with pytest.raises(OverflowError):
        pack(layers).weigh(np.ones(1), np.array([1e10 + 1e-6]))
    with pytest.raises(ValueError):
        pack(layers).weigh(np.ones(1), np.array([np.nan]))


def test_layers_refuse_shapes_that_do_not_fit():
    one = np.zeros((1, 2), dtype=int)
    with pytest.raises(ValueError, match="at least one layer"):
        Layers(("a",), (), ())
    with pytest.raises(ValueError, match="pairs"):
        Layers(("a",), (one, one), ())
    with pytest.raises(ValueError, match="pair 0: shape"):
        Layers(("a",), (one, one), (ArrayPairs(("p",), np.zeros((1, 3, 2), dtype=int)),))
    with pytest.raises(ValueError, match="whole numbers"):
        ArrayPairs(("p",), np.zeros((1, 2, 2)))  # type: ignore[arg-type]


@given(small_problems())
@settings(max_examples=60)
def test_terms_read_back_from_a_path_are_those_of_its_steps(problem):
    layers = problem[0]
    paths = every_path(problem)
    assume(paths and len(layers.sizes) > 1)
    terms = pack(layers).path_terms(paths[-1].choices)
    for step, (a, b) in enumerate(pairwise(paths[-1].choices)):
        assert terms[step].tolist() == layers.pair[step].values[:, a, b].tolist()


@given(small_problems(most_choices=7), st.integers(0, 3))
@settings(max_examples=150)
def test_leaving_out_hopeless_choices_changes_nothing(problem, beam):
    layers, single, pair = problem
    assume(every_path(problem) and len(layers.sizes) > 1)
    lifted = without_gifts(layers)
    packing.EAGER_LIMIT, whole = 0, packing.EAGER_LIMIT
    pruned.BEAM, usual = beam + 1, pruned.BEAM
    try:
        weighed = weigh((lifted, single, pair))
        assert not weighed.edge
        found = pruned.best_path_pruned(weighed)
    finally:
        packing.EAGER_LIMIT, pruned.BEAM = whole, usual
    plain = best_path(weigh((lifted, single, pair)))
    if found is not None:
        assert found.paths == plain.paths
        assert found.counts.steps <= plain.counts.steps


def test_more_paths_than_there_are_end_a_large_search_with_all_of_them():
    layers = Layers(
        ("a",),
        (np.zeros((1, 3), dtype=int), np.zeros((1, 1), dtype=int)),
        (ArrayPairs(("p",), np.array([[[0], [3], [2]]])),),
    )
    one, masks = np.ones(1), [None, None]
    found = search_within(
        layers, one, one, masks, lambda weighed, _: ranked_paths(weighed, 5), count=5
    )
    assert [path.value for path in found.paths] == [0, 2, 3]


@given(small_problems(most_choices=4), st.integers(2, 40))
@settings(max_examples=60, deadline=None)
def test_codes_joined_say_what_they_said_apart(problem, room):
    layers, single, pair = problem
    assume(layers.pair)
    joined = pack(layers)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(packing, "CODE_LIMIT", room)  # many small groups
        patch.setattr(packing, "JOINT_LIMIT", 0)
        apart = pack(layers)
        patch.setattr(packing, "CODE_LIMIT", max(room, 30))
        patch.setattr(packing, "JOINT_LIMIT", 2**22)
        some = pack(layers)
    for packed in (joined, some):
        ours, theirs = (one.weigh(np.array(single), np.array(pair)) for one in (packed, apart))
        for place in range(len(layers.pair)):
            assert np.array_equal(ours.pair_costs(place), theirs.pair_costs(place))
        path = [0] * len(layers.sizes)
        if all(steps.mask is None or steps.mask[0, 0] for steps in layers.pair):
            assert np.array_equal(packed.path_terms(path), apart.path_terms(path))
