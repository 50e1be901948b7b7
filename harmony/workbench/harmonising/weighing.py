"""How much each cost of a harmonisation counts: sliders, steps from the idiom's own weights."""

from __future__ import annotations

from typing import Any

from harmony.harmonising.costs import TERMS, usual_weights
from harmony.harmonising.idiom import load_idiom
from harmony.workbench.harmonising.state import Question

TITLE = "What counts"
FURTHEST, OFF = 4, -5
FACTOR = 2.0
_FIRST = 0.5  # the weight at the first step of a cost that the idiom leaves out


def weigh(question: Question) -> dict[str, float]:
    """Give the weights of the costs that were moved, as the search takes them.

    Steps are counted from the weights of the first idiom.
    """
    usual = usual_weights(load_idiom(question.idioms[0].partition(", from bar")[0]))
    return {name: _step(usual[name], step) for name, step in question.weights}


def _step(usual: float, step: int) -> float:
    if step <= OFF:
        return 0.0
    if usual == 0:
        return _FIRST * FACTOR ** (step - 1) if step > 0 else 0.0
    return usual * FACTOR**step


def slider_items() -> list[dict[str, Any]]:
    """Give a slider for each cost, as :class:`harmony.workbench.parts.controls.Sliders` has it."""
    readings = {str(OFF): "off", "0": "as usual"}
    for step in range(1, FURTHEST + 1):
        readings[str(step)], readings[str(-step)] = f"\u00d7 {2**step}", f"\u00f7 {2**step}"
    return [
        {
            "name": term.name,
            "label": term.name.replace("_", " ").capitalize(),
            "lowest": OFF,
            "highest": FURTHEST,
            "step": 1,
            "low_word": "",
            "high_word": "",
            "about": f"{term.sentence[:1].upper()}{term.sentence[1:]}; {term.unit}",
            "readings": readings,
        }
        for term in TERMS
    ]


def steps_of(question: Question) -> dict[str, int]:
    """Give where every slider stands."""
    return {term.name: 0 for term in TERMS} | dict(question.weights)
