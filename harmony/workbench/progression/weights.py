"""From sliders to weights: three stated bundles of terms, and each term by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from harmony.tables import read_toml
from harmony.voicings.presets import Preset
from harmony.workbench.progression.state import Choices
from harmony.workbench.steps import FIRST_WEIGHT, FURTHEST_STEP, step_weight

TABLE = "workbench/sliders.toml"
#: what the first step up means for a term that a preset leaves at zero, where it is not as usual
FIRST_WEIGHTS = {"series_profile": 0.05}


@dataclass(frozen=True, slots=True)
class Slider:
    """One of the three sliders: its words and the terms it moves together."""

    name: str
    label: str
    low_word: str
    high_word: str
    about: str
    dearer: tuple[str, ...]
    factor: float
    sought: Mapping[str, float]
    source: str


@cache
def sliders() -> tuple[Slider, ...]:
    """The sliders of data/workbench/sliders.toml, in order."""
    return tuple(
        Slider(name=name, **{**entry, "dearer": tuple(entry["dearer"])})
        for name, entry in read_toml(TABLE).items()
    )


def choices_to_weights(choices: Choices, preset: Preset) -> dict[str, float]:
    """Give every term's weight: the preset's, moved by the sliders and by its own step."""
    weights = dict(preset.weights)
    steps = dict(choices.sliders)
    for slider in sliders():
        step = steps.get(slider.name, 0)
        for term in slider.dearer:
            weights[term] *= slider.factor**-step
        for term, amount in slider.sought.items():
            weights[term] += amount * max(step, 0)
    for term, step in choices.terms:
        first = FIRST_WEIGHTS.get(term, FIRST_WEIGHT)
        weights[term] = step_weight(weights[term], step, first=first)
    # Six places are far finer than any ear and keep the search's whole numbers small.
    return {term: round(weight, 6) for term, weight in weights.items()}


def slider_readings(slider: Slider) -> dict[str, str]:
    """Give the words for a slider's positions, by the position's text."""
    words = {0: "as usual"}
    for step, amount in enumerate(("a little towards", "towards", "well towards", "all for"), 1):
        words[-step] = f"{amount} {slider.low_word}"
        words[step] = f"{amount} {slider.high_word}"
    assert len(words) == 2 * FURTHEST_STEP + 1
    return {str(step): text for step, text in words.items()}
