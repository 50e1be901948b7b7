"""How much each cost of a harmonisation counts: sliders, steps from the idiom's own weights."""

from __future__ import annotations

from typing import Any

from harmony.harmonising.costs import TERMS, usual_weights
from harmony.harmonising.idiom import load_idiom
from harmony.workbench.harmonising.state import Question
from harmony.workbench.steps import cost_slider, step_weight

TITLE = "What counts"


def weigh(question: Question) -> dict[str, float]:
    """Give the weights of the costs that were moved, as the search takes them.

    Steps are counted from the weights of the first idiom.
    """
    usual = usual_weights(load_idiom(question.idioms[0].partition(", from bar")[0]))
    return {name: step_weight(usual[name], step) for name, step in question.weights}


def slider_items() -> list[dict[str, Any]]:
    """Give a slider for each cost, as :class:`harmony.workbench.parts.controls.Sliders` has it."""
    return [cost_slider(term.name, f"{term.sentence}; {term.unit}") for term in TERMS]


def steps_of(question: Question) -> dict[str, int]:
    """Give where every slider stands."""
    return {term.name: 0 for term in TERMS} | dict(question.weights)
