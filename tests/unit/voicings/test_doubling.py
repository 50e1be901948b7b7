"""Which bass may be doubled in first inversion (common practice)."""

from __future__ import annotations

import pytest

from harmony.voicings.api import prepare
from harmony.voicings.costs.members import doubling_points


@pytest.mark.parametrize(
    ("text", "points"),
    [("C: I6", 1), ("C: IV6", 1), ("C: ii6", 0), ("c: i6", 0), ("c: N6", 0), ("C: viio6", 0),
     ("C: ii65", 1)],
)  # fmt: skip
def test_the_bass_of_a_sixth_chord(text, points):
    voicings = prepare(text, "string quartet").layout.voicings[0]
    assert doubling_points(voicings.sonority)[0] == points


def test_a_third_doubled_by_contrary_steps_is_free():
    pins = ["1.1 Violin 1=B4", "1.1 Violin 2=D4", "1.1 Viola=G3", "1.1 Cello=G2"]
    pins += ["1.3 Violin 1=C5", "1.3 Violin 2=C4", "1.3 Viola=E3", "1.3 Cello=A2"]
    problem = prepare("C: V vi", "string quartet")
    best = problem.best(pins=pins)
    doubling = [cost.name for cost in best.costs].index("doubling")
    assert problem.costs[doubling].single(best.chosen[1])[0] == 2
    assert best.amounts[1, doubling] == 0
