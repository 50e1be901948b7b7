"""Pachelbel's canon found whole: three violins at the unison, over their ground.

Notes of the ground and of the first violin: table 09a; the solution: 09b-0014
(violins two and three follow at the unison, each after eight notes of the ground,
which are sixteen quarters in the table's notation).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.themes.counterpoint import Judge
from harmony.themes.stretto import find_strettos
from harmony.themes.under import Under
from tests.unit.themes.lines import theme_from_table


@pytest.mark.parametrize("judge", ["tonal", "free"])
def test_three_violins_over_the_ground_come_first_of_all(judge: Judge) -> None:
    violin = theme_from_table("pachelbel_canon", "violin1")
    ground = Under(ground=theme_from_table("pachelbel_canon", "ground").line)
    best = find_strettos(violin, 3, judge, under=ground)[0]
    assert best.entries == ((0, Fraction(16)), (0, Fraction(32)))


def test_the_second_violin_alone_too() -> None:
    violin = theme_from_table("pachelbel_canon", "violin1")
    ground = Under(ground=theme_from_table("pachelbel_canon", "ground").line)
    assert find_strettos(violin, 2, under=ground)[0].entries == ((0, Fraction(16)),)
