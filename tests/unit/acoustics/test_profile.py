"""Spacing against the series: gap profile, series fit, and what the search needs of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmony.acoustics.profile import gap_profile, has_series_fit, series_fit, series_profile

C_MAJOR = {0, 4, 7}
rows_of_five = st.lists(
    st.lists(st.integers(30, 90), min_size=5, max_size=5), min_size=1, max_size=6
)


def test_the_series_itself_costs_nothing() -> None:
    series = [36, 48, 55, 60, 64, 67]
    assert gap_profile(series)[0] == 0.0
    assert series_fit(series, 0)[0] == pytest.approx(0.0, abs=0.02)
    assert series_profile(series, root=0)[0] < 0.01


def test_wide_below_is_better_than_wide_above() -> None:
    good, close, upside_down = series_profile(
        [[36, 48, 55, 64], [36, 40, 43, 48], [36, 40, 43, 72]], root=0, pitch_classes=C_MAJOR
    )
    assert good < close < upside_down


def test_minor_and_quartal_chords_are_judged_by_their_gaps_alone() -> None:
    minor = [[48, 55, 60, 63], [48, 51, 55, 72]]
    assert not has_series_fit({0, 3, 7}, 0)
    assert (series_profile(minor, root=0) == gap_profile(minor)).all()
    quartal = [[41, 46, 51, 56]]
    assert (series_profile(quartal, root=None) == gap_profile(quartal)).all()


@pytest.mark.parametrize(
    ("classes", "root", "fits"),
    [
        ({0, 4, 7}, 0, True), ({7, 11, 2, 5}, 7, True), ({0, 4, 7, 10, 2}, 0, True),
        ({0, 3, 7}, 0, False), ({0, 3, 6, 9}, 0, False), ({0, 5, 10}, 0, False),
        ({0, 1, 2}, 0, False), ({0, 4, 8}, 0, False), ({0, 4, 7, 11}, 0, False),
    ],
)  # fmt: skip
def test_which_chords_lie_in_the_series(classes: set[int], root: int, fits: bool) -> None:
    assert has_series_fit(classes, root) is fits


@given(rows_of_five)
def test_a_value_belongs_to_one_voicing_alone(rows: list[list[int]]) -> None:
    together = series_profile(rows, root=0, pitch_classes=C_MAJOR)
    assert ((together >= 0) & (together <= 1)).all()
    for row, value in zip(rows, together, strict=True):
        alone = series_profile(row, root=0, pitch_classes=C_MAJOR)
        turned = series_profile(row[::-1], root=0, pitch_classes=C_MAJOR)
        assert alone[0] == turned[0] == value


@given(rows_of_five, st.integers(1, 11))
def test_gaps_do_not_know_the_key(rows: list[list[int]], up: int) -> None:
    moved = np.array(rows) + up
    assert gap_profile(moved) == pytest.approx(gap_profile(rows))


def test_unisons_count_once_and_a_lone_note_has_no_gaps() -> None:
    assert gap_profile([48, 48, 60, 67])[0] == gap_profile([48, 60, 67])[0] == 0.0
    assert gap_profile([[60]])[0] == 0.0
    assert gap_profile([[60, 60]])[0] == 0.0
