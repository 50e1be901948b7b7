"""Steps told by halves: the same answers, with either engine, as from a table of all steps."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harmony.search import (
    ArrayPairs,
    Bars,
    Halves,
    Layers,
    NoPathError,
    SplitPairs,
    Word,
    best_path,
    best_path_large,
    choice_prices,
    compiled,
    eased_values,
    eased_within,
    enumerate_paths,
    onward,
    pack,
    price_within,
    ranked_paths,
    search_within,
)
from harmony.search.compiled import load_engine
from harmony.search.halved import SplitProblem, price_split, split_all
from harmony.search.split import reach_floors
from harmony.search.weights import scale_weights

NAMES = ("a", "b", "c")


def compiled_engine(kind):
    return load_engine(kind)


def no_engine(kind):
    del kind


ENGINES = pytest.mark.parametrize("find", [compiled_engine, no_engine], ids=["compiled", "plain"])


def random_bars(rng, before, after, halves):
    """About a third of all steps barred, in each of the three ways."""
    rare = [rng.random((halves, halves)) < 0.1 for _ in range(2)]
    sides = [rng.integers(0, 2, size, dtype=np.uint64) for size in (before, after)]
    tables = [rng.integers(0, 2, (halves, halves), dtype=np.uint64) for _ in range(2)]
    return Bars(*(table.astype(np.int32) for table in rare), (Word(0, 1, 1, *sides, *tables),))


def random_split(rng, before, after, halves=3, *, is_barred=False):
    """Steps between choices of at most `halves` halves on each side, with three words."""
    sides = [
        Halves(rng.integers(0, halves, n), rng.integers(0, halves, n)) for n in (before, after)
    ]

    def bits(*shape, width=8):
        return rng.integers(0, 2**width, shape, dtype=np.uint64)

    def make_word(term, amount, width, most):
        tables = bits(halves, halves, width=width), bits(halves, halves, width=width)
        return Word(
            term, amount, most, bits(before, width=width), bits(after, width=width), *tables
        )

    tables = rng.integers(0, 9, (2, len(NAMES), halves, halves), dtype=np.int16)
    words = (make_word(0, 1, 32, 32), make_word(1, 2, 40, 40), make_word(2, -3, 1, 1))
    bars = random_bars(rng, before, after, halves) if is_barred else None
    return SplitPairs(NAMES, *sides, *tables, words, bars)


def random_problem(seed, sizes, *, is_barred=False):
    rng = np.random.default_rng(seed)
    single = tuple(rng.integers(0, 30, (len(NAMES), n)) for n in sizes)
    pairs = (random_split(rng, n, m, is_barred=is_barred) for n, m in pairwise(sizes))
    return Layers(NAMES, single, tuple(pairs))


def tabled(layers):
    """The same problem with every step in an array."""
    pairs = []
    for steps in layers.pair:
        everything = [np.arange(n) for n in steps.shape]
        pairs.append(ArrayPairs(NAMES, steps.block(*everything), steps.allowed(*everything)))
    return Layers(NAMES, layers.single, tuple(pairs))


SIZES = st.lists(st.integers(1, 9), min_size=2, max_size=5)
WEIGHTS = st.lists(st.sampled_from([0.0, 0.25, 1.0, 2.5, 40.0, 60_000.5]), min_size=3, max_size=3)


@ENGINES
@given(st.integers(0, 2**32), SIZES, WEIGHTS)
@settings(max_examples=80)
def test_the_best_path_is_that_of_enumeration(find, seed, sizes, weights):
    layers, rates = random_problem(seed, sizes), np.array(weights)
    weighed = pack(tabled(layers)).weigh(rates, rates)
    found = best_path_large(layers, rates, rates, [None] * len(sizes), find=find)
    assert found.status == "optimal"
    assert found.paths == best_path(weighed).paths
    assert found.value == min(path.value for path in enumerate_paths(tabled(layers), rates, rates))


@given(st.integers(0, 2**32), SIZES, WEIGHTS, st.integers(2, 6))
@settings(max_examples=60)
def test_several_paths_and_the_price_of_every_choice_are_those_of_the_table(
    seed, sizes, weights, count
):
    layers, rates = random_problem(seed, sizes), np.array(weights)
    weighed, masks = pack(tabled(layers)).weigh(rates, rates), [None] * len(sizes)
    masks[0] = np.arange(sizes[0]) != 1
    weighed = weighed.restrict(masks)
    expected = ranked_paths(weighed, count)
    found = search_within(
        layers, rates, rates, masks, lambda w, _: ranked_paths(w, count), count=count
    )
    assert found.status == "optimal"
    assert [p.value for p in found.paths] == [p.value for p in expected.paths]
    for ours, theirs in zip(
        price_within(layers, rates, rates, masks, 0.0), choice_prices(weighed), strict=True
    ):
        assert ours.tolist() == theirs.tolist()


@given(st.integers(0, 2**32), SIZES, WEIGHTS)
@settings(max_examples=80)
def test_what_may_not_be_taken_is_not_and_a_dead_end_is_that_of_the_table(seed, sizes, weights):
    layers = random_problem(seed, sizes, is_barred=True)
    rates, masks = np.array(weights), [None] * len(sizes)
    weighed = pack(tabled(layers)).weigh(rates, rates)
    try:
        expected, dead = best_path(weighed), None
    except NoPathError as fault:
        expected, dead = None, fault
    if dead is not None:
        for ask in (best_path_large, price_within, eased_within):
            more = () if ask is best_path_large else (0.0,)
            with pytest.raises(NoPathError) as told:
                ask(layers, rates, rates, masks, *more)
            assert (told.value.layer, told.value.reached) == (dead.layer, dead.reached)
        return
    assert best_path_large(layers, rates, rates, masks).paths == expected.paths
    prices = price_within(layers, rates, rates, masks, 0.0)
    for ours, theirs in zip(prices, choice_prices(weighed), strict=True):
        assert ours.tolist() == theirs.tolist()


@pytest.mark.parametrize("is_barred", [False, True])
@given(st.integers(0, 2**32), SIZES, WEIGHTS)
@settings(max_examples=50)
def test_the_price_of_a_term_at_a_layer_is_that_of_the_table(is_barred, seed, sizes, weights):
    layers = random_problem(seed, sizes, is_barred=is_barred)
    rates, masks = np.array(weights), [None] * len(sizes)
    packed = pack(tabled(layers))
    weighed = packed.weigh(rates, rates)
    try:
        values, is_exact = eased_within(layers, rates, rates, masks, 0.0)
    except NoPathError:
        assert is_barred
        return
    assert is_exact
    for term, found in enumerate(values):
        eased = rates * (np.arange(len(rates)) != term)
        expected = eased_values(weighed, packed.weigh(eased, eased))
        # Only savings are told: what gives back is dearer without it.
        assert found.tolist() == np.minimum(expected, best_path(weighed).value).tolist()


@ENGINES
def test_both_engines_agree_on_a_problem_of_many_groups(find):
    rng = np.random.default_rng(3)
    sizes = (300, 250, 400)
    layers = Layers(
        NAMES,
        tuple(rng.integers(0, 30, (3, n)) for n in sizes),
        tuple(random_split(rng, n, m, halves=17) for n, m in pairwise(sizes)),
    )
    rates = np.array([1.0, 2.0, 1.5])
    whole = best_path(pack(tabled(layers)).weigh(rates, rates))
    found = best_path_large(layers, rates, rates, [None] * 3, find=find)
    assert found.paths == whole.paths
    assert 0 < found.counts.steps < whole.counts.steps


@pytest.mark.parametrize("kind", ["int32", "int64"])
def test_the_engines_fill_in_the_same_row_by_row(kind):
    rng = np.random.default_rng(11)
    steps = random_split(rng, 120, 90, halves=9).weigh((7, 3, 5))
    ahead, limit = rng.integers(0, 50, 90), rng.integers(0, 200, 120)
    costs = steps.costs(np.arange(120), np.arange(90)) + ahead
    expected = np.minimum(costs.min(axis=1), limit + 1)
    for engine in (load_engine(kind), onward.work_out_plainly):
        field, order = onward.build_field(steps, ahead, limit, kind)
        parts = list(field.parts())
        assert (parts[0][0], parts[-1][1]) == (0, 120)
        for part in parts:
            engine(*part, *field.arrays())
        assert field.least.dtype == kind
        assert field.least.tolist() == expected[order].tolist()


def test_sums_beyond_small_numbers_are_reckoned_in_large_ones():
    layers = random_problem(5, (6, 6, 6))
    steps = tuple(split.weigh((10**9, 1, 1)) for split in split_all(layers))
    assert onward.find_kind(steps, 0) == "int64"
    assert onward.find_kind(tuple(s.weigh((1, 1, 1)) for s in split_all(layers)), 0) == "int32"
    rates = np.array([1_000_000.0, 0.000_001, 1.0])
    found = best_path_large(layers, rates, rates, [None] * 3, find=compiled_engine)
    assert found.paths == best_path(pack(tabled(layers)).weigh(rates, rates)).paths
    heavy = np.array([1e9, 0.000_001, 1.0])
    with pytest.raises(OverflowError):
        best_path_large(layers, heavy, heavy, [None] * 3)


@given(st.integers(0, 2**32))
@settings(max_examples=40)
def test_floors_are_never_above_the_way_they_are_floors_of(seed):
    rng = np.random.default_rng(seed)
    steps = random_split(rng, 8, 7).weigh((2, 3, 4))
    spent = rng.integers(0, 40, 8)
    costs = steps.costs(np.arange(8), np.arange(7))
    assert (reach_floors(steps, spent) <= (costs + spent[:, None]).min(axis=0)).all()
    turned = steps.turned().costs(np.arange(7), np.arange(8))
    assert (turned == costs.T).all()
    assert np.abs(costs).max() <= steps.highest()


@ENGINES
def test_a_stopped_search_keeps_its_best_path_and_an_honest_bound(find, monkeypatch):
    monkeypatch.setattr(onward, "PART", 1)
    layers = random_problem(7, (40, 40, 40, 40))
    one, masks, seen = np.ones(3), [None] * 4, []

    def stop_after(reports):
        def report(progress):
            seen.append(progress)
            return len(seen) < reports

        return report

    proven = best_path_large(layers, one, one, masks, stop_after(10**6), find=find)
    most = len(seen)
    assert most > 4
    for reports in range(1, most + 1):
        seen.clear()
        stopped = best_path_large(layers, one, one, masks, stop_after(reports), find=find)
        assert stopped.status == "stopped"
        assert stopped.lower_bound <= proven.value <= stopped.value
        assert len(seen) == reports
        assert [p.share for p in seen] == sorted(p.share for p in seen)
        assert [p.lower_bound for p in seen] == sorted(p.lower_bound for p in seen)
    assert seen[-1].lower_bound > seen[0].lower_bound


def test_what_masks_bar_is_not_used_and_has_no_price():
    layers, one = random_problem(9, (5, 6, 5)), np.ones(3)
    masks = [None, np.array([False, True, False, False, True, False]), None]
    whole = pack(tabled(layers)).weigh(one, one).restrict(masks)
    assert best_path_large(layers, one, one, masks).paths == best_path(whole).paths
    prices = price_split(SplitProblem(layers, split_all(layers), scale_weights(one, one), masks))
    assert [p.tolist() for p in prices] == [p.tolist() for p in choice_prices(whole)]
    with pytest.raises(NoPathError):
        best_path_large(layers, one, one, [None, np.zeros(6, dtype=bool), None])


def test_a_search_without_the_extra_says_that_it_was_slow(monkeypatch):
    layers, one = random_problem(9, (5, 6, 5)), np.ones(3)
    fast = best_path_large(layers, one, one, [None] * 3, find=compiled_engine)
    assert not fast.is_slow
    compiled.is_installed.cache_clear()
    monkeypatch.setattr(compiled, "find_spec", lambda name: None)
    try:
        assert compiled.find_engine("int32") is None
        slow = best_path_large(layers, one, one, [None] * 3)
    finally:
        compiled.is_installed.cache_clear()
    assert slow.is_slow
    assert slow.paths == fast.paths


def test_steps_out_of_silence_cost_nothing():
    free = SplitPairs.free(NAMES, 1, 4)
    assert free.block(np.arange(1), np.arange(4)).shape == (3, 1, 4)
    assert not free.weigh((1, 1, 1)).costs(np.arange(1), np.arange(4)).any()
    mixed = Layers(NAMES, (np.zeros((3, 1), int), np.zeros((3, 4), int)), (free,))
    assert split_all(mixed) == (free,)


@pytest.mark.parametrize("is_kept", [True, False])
def test_the_engine_says_while_it_is_made_for_the_first_time(is_kept, tmp_path, monkeypatch):
    kernel = pytest.importorskip("harmony.search.kernel")
    if is_kept:
        (tmp_path / f"{compiled.INDEX}1.py311.nbi").write_bytes(b"")
    seen = []

    def work_out_rows(*_arguments):
        seen.append(compiled.is_being_made())
        return 1

    work_out_rows.stats = SimpleNamespace(cache_path=str(tmp_path))
    monkeypatch.setattr(kernel, "work_out_rows", work_out_rows)
    assert compiled.is_made() is is_kept
    assert compiled.load_engine.__wrapped__("int32") is work_out_rows
    assert seen == [not is_kept]
    assert not compiled.is_being_made()
