"""What was open to Bach: the listed voicings against every combination of pitches."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from harmony.learning.chorale_choices import (
    find_ranges,
    list_choices,
    list_middles,
    list_voicings,
    list_with_fifths,
)
from harmony.learning.chorale_slices import ChoraleSlices
from tests.published.rows import read_table

RANGES = ((40, 55), (48, 62), (55, 69), (60, 76))
D_MINOR = frozenset({2, 5, 9})


def read_slices(*pieces: str) -> ChoraleSlices:
    rows = [row for row in read_table("chorale_slices") if row["piece"] in pieces]
    names = tuple(dict.fromkeys(row["piece"] for row in rows))
    sharps = {row["piece"]: int(row["key_sharps"]) for row in rows}
    voices = ("bass", "tenor", "alto", "soprano")
    return ChoraleSlices(
        names,
        np.array([[int(row[v]) for v in voices] for row in rows], np.uint8),
        np.array([names.index(row["piece"]) for row in rows], np.uint16),
        np.array([int(row["beat"]) for row in rows], np.uint16),
        np.array([int(row["flags"]) for row in rows], np.uint8),
        np.array([sharps[name] for name in names], np.int8),
    )


@pytest.mark.parametrize(("chord", "bass"), [(D_MINOR, 2), (D_MINOR, 9), (frozenset({7, 11}), 7)])
def test_every_voicing_is_listed_once_in_rising_order(chord: frozenset[int], bass: int) -> None:
    pools = [range(low, high + 1) for low, high in RANGES]
    expected = [
        v
        for v in product(*pools)
        if v[0] % 12 == bass and list(v) == sorted(v) and {p % 12 for p in v} == chord
    ]
    assert [tuple(row) for row in list_voicings(chord, bass, RANGES).tolist()] == expected


def test_choices_hold_what_was_written_and_not_what_was_just_heard() -> None:
    slices = read_slices("bwv6.6")
    choices = list_choices(slices, find_ranges(slices))
    written = {tuple(row) for row in slices.pitches.tolist()}
    assert len(choices) == len(slices.pitches) - 1 - int((slices.flags[1:] & 4 > 0).sum())
    assert all(tuple(choices.after[:, place].tolist()) in written for place in choices.chosen)
    assert not (choices.after == choices.before).all(axis=0).any()
    assert choices.starts[-1] == choices.after.shape[1] == len(choices.tonic)


def test_middles_are_unlike_both_neighbours() -> None:
    slices = read_slices("bwv6.6", "bwv57.8")
    choices, following = list_middles(slices, find_ranges(slices))
    assert not (choices.after == choices.before).all(axis=0).any()
    assert not (choices.after == following).all(axis=0).any()
    first = choices.chosen[0]
    heard = [choices.before[:, first], choices.after[:, first], following[:, first]]
    assert np.array_equal(heard, slices.pitches[:3])


def test_where_the_fifth_is_free_chords_with_and_without_it_are_open() -> None:
    slices = read_slices("bwv6.6")
    choices = list_with_fifths(slices, find_ranges(slices))
    assert len(choices)
    for start, stop in zip(choices.starts, choices.starts[1:], strict=False):
        chords = {frozenset((row % 12).tolist()) for row in choices.after[:, start:stop].T}
        assert len(chords) == 2
        assert len(frozenset.union(*chords) - frozenset.intersection(*chords)) == 1
