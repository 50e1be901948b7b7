"""`change_cost`: from bare pitches to bare pitches."""

from __future__ import annotations

import numpy as np
import pytest

from harmony.errors import HarmonyError
from harmony.voicings import change_cost, load_preset, preset_names

PREVIOUS = np.array([48, 55, 64, 72])
CURRENT = np.array([[53, 57, 60, 69], [41, 57, 65, 72], [43, 55, 62, 71]])


@pytest.mark.parametrize("preset", preset_names())
def test_one_and_many_agree_and_leave_their_input(preset):
    before, after = PREVIOUS.copy(), CURRENT.copy()
    many = change_cost(before, after, preset=preset, key="C")
    assert many.shape == (3,)
    for row, cost in zip(after, many, strict=True):
        assert change_cost(before, row, preset=preset, key="C") == pytest.approx(cost)
    assert (before == PREVIOUS).all()
    assert (after == CURRENT).all()


@pytest.mark.parametrize("preset", [name for name in preset_names() if name != "chorale"])
def test_transposing_both_by_an_octave_keeps_the_cost_but_for_low_intervals(preset):
    high = PREVIOUS + 24, CURRENT + 24
    for shift in (12, 24):
        assert np.allclose(
            change_cost(high[0], high[1], preset=preset),
            change_cost(high[0] + shift, high[1] + shift, preset=preset),
        )


def test_consecutive_fifths_cost_their_weight_in_published_presets():
    weight = load_preset("strings").weights["consecutive_perfects"]
    parallel = change_cost([48, 55, 64], [50, 57, 65], preset="strings")
    oblique = change_cost([48, 55, 64], [50, 55, 65], preset="strings")
    assert parallel - oblique > weight / 2


def test_three_and_five_voices_are_taken():
    assert np.isfinite(change_cost([48, 64, 67], [53, 65, 69]))
    assert np.isfinite(change_cost([36, 48, 55, 64, 72], [41, 48, 57, 65, 72]))


@pytest.mark.parametrize(
    ("previous", "current"),
    [(PREVIOUS, CURRENT[:, :3]), (CURRENT, CURRENT), (PREVIOUS, CURRENT[None])],
)
def test_shapes_that_do_not_go_together_are_refused(previous, current):
    with pytest.raises(HarmonyError, match="do not go together"):
        change_cost(previous, current)


def test_unknown_presets_and_keys_are_refused():
    with pytest.raises(HarmonyError, match="is not a preset"):
        change_cost(PREVIOUS, CURRENT, preset="baroque")
    with pytest.raises(HarmonyError, match="is not a key"):
        change_cost(PREVIOUS, CURRENT, key="H")


def test_sonorities_that_are_no_chords_are_costed_too():
    assert np.isfinite(change_cost([48, 49, 50, 51], [49, 54, 61, 66], preset="free"))
