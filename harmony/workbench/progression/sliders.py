"""What the sliders and terms of the desk are made of."""

from __future__ import annotations

from typing import Any

from harmony.voicings.costs import standard_costs
from harmony.voicings.presets import load_preset, preset_names
from harmony.workbench.progression.weights import slider_readings, sliders
from harmony.workbench.steps import FURTHEST_STEP, cost_slider

USUAL_MANNER = "As usual for these players"


def slider_items() -> list[dict[str, Any]]:
    """Give the three sliders, as :class:`harmony.workbench.parts.controls.Sliders` has them."""
    return [
        {
            "name": slider.name,
            "label": slider.label,
            "lowest": -FURTHEST_STEP,
            "highest": FURTHEST_STEP,
            "step": 1,
            "low_word": slider.low_word,
            "high_word": slider.high_word,
            "about": "",
            "readings": slider_readings(slider),
        }
        for slider in sliders()
    ]


def manner_labels() -> dict[str, str]:
    """Give the ways of writing, by what is read in the list; empty: the players' own."""
    presets = [load_preset(name) for name in preset_names()]
    told = {one.sentence[:1].upper() + one.sentence[1:]: one.name for one in presets}
    return {USUAL_MANNER: "", **told}


def term_items() -> list[dict[str, Any]]:
    """Give a slider for each term."""
    return [cost_slider(cost.name, cost.sentence) for cost in standard_costs()]
