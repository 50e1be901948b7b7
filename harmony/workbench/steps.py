"""A slider for a cost, at every desk: each step makes it count twice as much or half as much."""

from __future__ import annotations

from typing import Any

FURTHEST_STEP = 4
OFF_STEP = -5  # the cost does not count
FACTOR = 2.0
FIRST_WEIGHT = 0.5  # what the first step up gives a cost that usually does not count


def step_weight(usual: float, step: int, *, first: float = FIRST_WEIGHT) -> float:
    """Give the weight of a cost so many steps from its usual one.

    Where that is 0 the first step up is ``first``.
    """
    if step <= OFF_STEP:
        return 0.0
    if usual == 0:
        return first * FACTOR ** (step - 1) if step > 0 else 0.0
    return usual * FACTOR**step


def step_readings() -> dict[str, str]:
    """Give the words for the positions of a cost's slider, by the position's text."""
    words = {OFF_STEP: "off", 0: "as usual"}
    for step in range(1, FURTHEST_STEP + 1):
        words[step] = f"\u00d7 {2**step}"
        words[-step] = f"\u00f7 {2**step}"
    return {str(step): text for step, text in words.items()}


def cost_slider(name: str, about: str) -> dict[str, Any]:
    """Give a cost's slider, as :class:`harmony.workbench.parts.controls.Sliders` has it."""
    return {
        "name": name,
        "label": name.replace("_", " ").capitalize(),
        "lowest": OFF_STEP,
        "highest": FURTHEST_STEP,
        "step": 1,
        "low_word": "",
        "high_word": "",
        "about": about[:1].upper() + about[1:],
        "readings": step_readings(),
    }
