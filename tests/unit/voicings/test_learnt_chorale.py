"""The learnt chorale costs: sums, layers, and voicings far from any chorale."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from harmony.pitch.key import Key
from harmony.voicings import change_cost
from harmony.voicings.chorale_tables import ASPECTS, OTHER_KIND, Chords, Scene
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.learnt_chorale import (
    GRAIN,
    itemise_step,
    itemise_voicing,
    load_tables,
    pair_terms,
    single_terms,
    zero_terms,
)

KEYS = st.sampled_from((None, *map(Key.from_text, ("C", "d", "Eb", "F#", "A dorian"))))


def voicings(least: int = 1) -> st.SearchStrategy[np.ndarray]:
    """Any four pitches of a keyboard, in order or crossed."""
    shapes = st.integers(least, 5).map(lambda n: (n, 4))
    return shapes.flatmap(lambda shape: arrays(np.int16, shape, elements=st.integers(21, 108)))


@given(voicings(), voicings())
def test_every_table_has_a_row_for_any_step(before: np.ndarray, after: np.ndarray) -> None:
    shaped = before.T[:, :, None].astype(np.int32), after.T[:, None, :].astype(np.int32)
    scene = Scene(Chords(shaped[0]), Chords(shaped[1]), 7)
    for aspect in ASPECTS:
        rows = aspect.read(scene)
        assert len(rows) == len(aspect.groups), aspect.name
        assert rows.min() >= 0, aspect.name
        assert rows.max() < aspect.rows, aspect.name


@given(voicings(), voicings(), KEYS)
def test_a_layer_is_its_steps_one_by_one(before, after, key) -> None:
    layer = pair_terms(before, after, key)
    assert layer.shape == (len(TERM_NAMES), len(before), len(after))
    for row, old in enumerate(before):
        for column, new in enumerate(after):
            alone = pair_terms(old[None], new[None], key)[:, 0, 0]
            assert np.array_equal(layer[:, row, column], alone)


@given(voicings(), voicings(), KEYS)
def test_the_bill_adds_up_term_by_term(before, after, key) -> None:
    step, there = itemise_step(before[0], after[0], key), itemise_voicing(after[0], key)
    for items, terms in (
        (step, pair_terms(before[:1], after[:1], key)[:, 0, 0]),
        (there, single_terms(after[:1], key)[:, 0]),
    ):
        paid = zero_terms(singles=items is there).tolist()
        billed = dict(zip(TERM_NAMES, paid, strict=True))
        for item in items:
            assert set(item.voices) <= set(range(4))
            billed[item.term] += item.amount
        assert list(billed.values()) == terms.tolist()


@given(voicings(), voicings(), st.integers(-12, 12))
def test_transposed_with_its_key_only_register_changes(before, after, semitones) -> None:
    keys = [Key.from_text(name) for name in ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A")]
    old, new = keys[0], next((k for k in keys if 7 * k.fifths % 12 == semitones % 12), None)
    if new is None:
        return
    here = pair_terms(before, after, old)
    there = pair_terms(before + semitones, after + semitones, new)
    assert np.array_equal(here, there)
    is_free = np.array([term != "register" for term in TERM_NAMES])
    fixed = single_terms(after, old)[is_free], single_terms(after + semitones, new)[is_free]
    assert np.array_equal(*fixed)


def test_change_cost_is_the_step_and_being_there() -> None:
    before, after = np.array([48, 55, 64, 72]), np.array([[43, 59, 62, 74], [53, 57, 65, 72]])
    key = Key.from_text("C")
    whole = pair_terms(before[None], after, key)[:, 0] + single_terms(after, key)
    assert change_cost(before, after, key="C") == pytest.approx(whole.sum(axis=0) / GRAIN)
    assert change_cost(before, after[0], key="C") == pytest.approx(whole.sum(axis=0)[0] / GRAIN)


def test_a_smooth_cadence_is_cheaper_than_one_in_parallel_octaves() -> None:
    dominant = np.array([43, 50, 59, 67])
    smooth, parallel = np.array([48, 52, 60, 67]), np.array([48, 55, 64, 72])
    costs = change_cost(dominant, np.array([smooth, parallel]), key="C")
    assert costs[0] + 3 < costs[1]
    charged = {item.term: item for item in itemise_step(dominant, parallel, Key.from_text("C"))
               if item.term == "consecutive_perfects"}  # fmt: skip
    assert charged


def test_leaving_out_the_fifth_costs_and_leaving_nothing_out_does_not() -> None:
    place = TERM_NAMES.index("completeness")
    terms = single_terms(np.array([[48, 55, 64, 72], [48, 60, 64, 72]]), None)[place]
    assert terms[0] == 0
    assert terms[1] > 0


def test_no_table_is_empty_and_amounts_stay_small() -> None:
    for table in load_tables():
        assert table.values.any(), table.aspect.name
        assert np.abs(table.values).max() < 20 * GRAIN, table.aspect.name


@pytest.mark.parametrize(
    ("pitches", "root", "kind"),
    [
        ((48, 55, 64, 72), 0, 0),
        ((52, 60, 67, 72), 0, 0),
        ((50, 57, 65, 74), 2, 1),
        ((47, 55, 62, 65), 7, 4),
        ((48, 55, 60, 67), 0, 25),
        ((48, 49, 50, 51), 2, OTHER_KIND),
    ],
)
def test_chords_are_named_by_root_and_kind(pitches, root: int, kind: int) -> None:
    chords = Chords(np.array(pitches, np.int32)[:, None])
    assert int(chords.root[0]) == root
    assert int(chords.kind[0]) // 12 == kind


def test_doubled_notes_are_found() -> None:
    chords = Chords(np.array([[48, 60, 64, 72], [48, 55, 64, 71], [48, 52, 60, 64]], np.int32).T)
    codes, singly = chords.doubled(0)
    assert singly.T.tolist() == [[1, 1, 0], [0, 0, 0], [5, 1, 0]]
    assert len(set(codes.tolist())) == 3
