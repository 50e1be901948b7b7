from __future__ import annotations

import pytest

from harmony.themes.continuation import continue_in_ways
from harmony.themes.degrees import key_of
from harmony.themes.operations import vary_once
from tests.unit.themes.lines import shuttle, theme_from_text


@pytest.fixture(scope="module")
def found():
    return continue_in_ways(shuttle())


def test_three_to_six_unlike_each_other(found):
    assert 3 <= len(found) <= 6
    assert len({one.operation for one in found}) == len(found)
    assert len({one.bars for one in found}) > 1
    assert len({one.contour for one in found}) == 4
    assert len({one.closing_degree for one in found}) > 2


def test_each_keeps_the_beginning_and_closes_as_said(found):
    theme = shuttle()
    head = [n for n in theme.line if n.onset < 16]
    for one in found:
        assert list(one.theme.line)[: len(head)] == head
        last = one.theme.line.sounding[-1]
        assert last.pitch.name.letter == key_of(theme).degree(one.closing_degree).letter
        assert last.end == (one.kept_bars + one.bars) * 4


def test_each_is_an_operation_that_can_be_written(found):
    for one in found:
        again = vary_once(shuttle(), one.operation)
        assert again.line == one.theme.line
        assert again.parent == one.theme.parent


def test_what_is_said_is_held():
    some = continue_in_ways(shuttle(), bars=3, closing_degree=5)
    assert {(one.bars, one.closing_degree) for one in some} == {(3, 5)}
    assert len(some) >= 3
    (only,) = continue_in_ways(shuttle(), kept_bars=2, bars=3, closing_degree=5, contour="rise")
    assert only.sentence == (
        "The first 2 bars and 3 more, rising, closing on the fifth, half closed."
    )


def test_it_stays_near_the_range_of_the_theme(found):
    steps = [n.pitch.staff_step for n in shuttle().line]
    for one in found:
        new = [n.pitch.staff_step for n in one.theme.line]
        assert min(steps) - 4 <= min(new)
        assert max(new) <= max(steps) + 4


def test_a_theme_of_two_bars_can_be_continued():
    assert len(continue_in_ways(theme_from_text("C4 D4 E4 C4 E4 F4 G4/2"))) >= 3
