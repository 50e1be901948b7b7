"""Sliders are stated bundles of terms."""

from __future__ import annotations

import pytest

from harmony.voicings.api import voice
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.presets import load_preset
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.weights import (
    choices_to_weights,
    slider_readings,
    sliders,
)
from harmony.workbench.steps import FURTHEST_STEP, OFF_STEP, step_readings

PRESET = load_preset("strings")
CHOICES = Choices("C: I", "string quartet")


def test_in_the_middle_the_preset_holds() -> None:
    assert choices_to_weights(CHOICES, PRESET) == dict(PRESET.weights)


@pytest.mark.parametrize("slider", sliders(), ids=lambda slider: slider.name)
def test_a_slider_moves_its_own_terms_and_no_other(slider: object) -> None:
    own = {*slider.dearer, *slider.sought}
    assert own <= set(TERM_NAMES)
    for step in (-FURTHEST_STEP, -1, 1, FURTHEST_STEP):
        weights = choices_to_weights(CHOICES.with_slider(slider.name, step), PRESET)
        for term, weight in weights.items():
            if term not in own:
                assert weight == PRESET.weights[term]
    dearer = choices_to_weights(CHOICES.with_slider(slider.name, -1), PRESET)
    assert all(dearer[term] >= PRESET.weights[term] for term in slider.dearer)


def test_a_term_is_doubled_halved_and_switched_off() -> None:
    usual = PRESET.weights["motion"]
    for step, weight in ((1, 2 * usual), (-1, usual / 2), (OFF_STEP, 0)):
        changed = choices_to_weights(CHOICES.with_term("motion", step), PRESET)
        assert changed["motion"] == pytest.approx(weight)


def test_a_term_the_preset_leaves_out_can_be_asked_for() -> None:
    assert PRESET.weights["stillness"] == 0
    assert choices_to_weights(CHOICES.with_term("stillness", 1), PRESET)["stillness"] > 0
    assert choices_to_weights(CHOICES.with_term("stillness", -1), PRESET)["stillness"] == 0


def test_every_position_has_words() -> None:
    for slider in sliders():
        assert set(slider_readings(slider)) == {
            str(step) for step in range(-FURTHEST_STEP, FURTHEST_STEP + 1)
        }
    assert set(step_readings()) == {str(step) for step in range(OFF_STEP, FURTHEST_STEP + 1)}


def spread(step: int) -> int:
    weights = choices_to_weights(CHOICES.with_slider("spacing", step), PRESET)
    best = voice("C: I | vi | ii6 | V7 | I", "string quartet", weights=weights).alternatives[0]
    return sum(pitches[0].midi - pitches[-2].midi for pitches in best.pitches)


def test_open_is_wider_than_close() -> None:
    assert spread(FURTHEST_STEP) > spread(-FURTHEST_STEP)
