"""From sliders to weights: three stated bundles of terms, and each term by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from harmony.tables import read_toml
from harmony.voicings.presets import Preset
from harmony.workbench.progression.state import FURTHEST_STEP, OFF_STEP, Choices

TABLE = "workbench/sliders.toml"
TERM_FACTOR = 2.0
#: what the first step up means for a term that a preset leaves at zero
FIRST_WEIGHTS = {"series_profile": 0.05, "stillness": 0.5}
FIRST_WEIGHT = 0.5


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
        weights[term] = _step_weight(weights[term], term, step)
    # Six places are far finer than any ear and keep the search's whole numbers small.
    return {term: round(weight, 6) for term, weight in weights.items()}


def _step_weight(weight: float, term: str, step: int) -> float:
    if step <= OFF_STEP:
        return 0.0
    if weight == 0:
        return FIRST_WEIGHTS.get(term, FIRST_WEIGHT) * TERM_FACTOR ** (step - 1) if step > 0 else 0
    return float(weight * TERM_FACTOR**step)


def slider_readings(slider: Slider) -> dict[str, str]:
    """Give the words for a slider's positions, by the position's text."""
    words = {0: "as usual"}
    for step, amount in enumerate(("a little towards", "towards", "well towards", "all for"), 1):
        words[-step] = f"{amount} {slider.low_word}"
        words[step] = f"{amount} {slider.high_word}"
    assert len(words) == 2 * FURTHEST_STEP + 1
    return {str(step): text for step, text in words.items()}


def term_readings() -> dict[str, str]:
    """Give the words for the positions of a term's slider."""
    words = {OFF_STEP: "off", 0: "as usual"}
    for step in range(1, FURTHEST_STEP + 1):
        words[step] = f"\u00d7 {2**step}"
        words[-step] = f"\u00f7 {2**step}"
    return {str(step): text for step, text in words.items()}
