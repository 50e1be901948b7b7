"""How much everything counts: the three sliders, the way of writing, every term behind a fold."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Protocol

from harmony.voicings.costs import standard_costs
from harmony.workbench.parts.controls import Choice, Sliders
from harmony.workbench.parts.guard import Guard
from harmony.workbench.progression.sliders import manner_labels, slider_items, term_items
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.weights import sliders


class Desk(Protocol):
    """What the sliders ask of the desk they belong to."""

    @property
    def choices(self) -> Choices:
        """Give what is set."""

    def search(self, choices: Choices, *, stroke: str = "") -> None:
        """Voice anew with other choices; those of one ``stroke`` are undone together."""


class Weighing:
    """``sliders``, ``manner`` and ``terms`` are what is laid out."""

    def __init__(self, desk: Desk, guard: Guard) -> None:
        self._desk = desk
        self.sliders = Sliders(items=slider_items(), values={})
        self.manner = Choice(label="Way of writing", options=list(manner_labels()))
        self.terms = Sliders(title="All the terms", items=term_items(), values={})
        take_steps = self._take_steps
        self.sliders.observe(guard(partial(take_steps, Choices.with_slider)), names="values")
        self.terms.observe(guard(partial(take_steps, Choices.with_term)), names="values")
        self.manner.observe(guard(self._take_manner), names="value")

    def follow(self, choices: Choices) -> None:
        """Stand as is set."""
        self.manner.value = next(
            label for label, name in manner_labels().items() if name == choices.manner
        )
        self.sliders.values = {slider.name: 0 for slider in sliders()} | dict(choices.sliders)
        self.terms.values = {cost.name: 0 for cost in standard_costs()} | dict(choices.terms)

    def _take_manner(self, change: Any) -> None:
        self._desk.search(self._desk.choices.with_manner(manner_labels()[change.new]))

    def _take_steps(self, transition: Callable[[Choices, str, int], Choices], change: Any) -> None:
        for name, step in change.new.items():
            if change.old.get(name, 0) != step:
                choices = transition(self._desk.choices, name, int(step))
                self._desk.search(choices, stroke=f"{change.owner.title} {change.owner.stroke}")
