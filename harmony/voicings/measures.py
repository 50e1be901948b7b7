"""All costs of a preset measured together: the sixteen terms, published or learnt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from harmony.search import stop_if_asked
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import Amounts, Cost, Item
from harmony.voicings.costs.motion import Motion
from harmony.voicings.steps import Steps


class Measures(Protocol):
    """What a preset measures; `costs` name the terms, in the order of every table."""

    @property
    def costs(self) -> tuple[Cost, ...]:
        """The terms: names, units, sentences, sources, grains."""

    @property
    def has_floor(self) -> bool:
        """True where no step costs less than 0, but for a freely doubled third."""

    @property
    def is_plain_in_motion(self) -> bool:
        """True where `motion` counts semitones."""

    def measure_voicings(self, voicings: Voicings) -> Amounts:
        """Amounts of every term for every voicing, shape (T, n)."""

    def measure_steps(self, steps: Steps) -> Amounts:
        """Amounts of every term for every step, shape (T, r, c)."""

    def explain(self, here: Voicings, steps: Steps | None) -> tuple[list[Item], ...]:
        """Items of every term for the only voicing, and the only step to it."""

    def ordinary(self, *, with_step: bool) -> tuple[int, ...]:
        """What every chord pays under each term, without a step to it or with one."""


@dataclass(frozen=True, slots=True)
class SeparateMeasures:
    """Costs that are each measured by themselves."""

    costs: tuple[Cost, ...]

    @property
    def has_floor(self) -> bool:
        """True: separate measures count from 0 up, but for a freely doubled third."""
        return True

    @property
    def is_plain_in_motion(self) -> bool:
        """True where `motion` counts semitones."""
        return any(isinstance(cost, Motion) for cost in self.costs)

    def measure_voicings(self, voicings: Voicings) -> Amounts:
        """Amounts of every term for every voicing, shape (T, n)."""
        table = np.zeros((len(self.costs), len(voicings)), dtype=np.int32)
        for place, cost in enumerate(self.costs):
            stop_if_asked()
            amounts = cost.single(voicings)
            if amounts is not None:
                table[place] = amounts
        return table

    def measure_steps(self, steps: Steps) -> Amounts:
        """Amounts of every term for every step, shape (T, r, c)."""
        table: Amounts = np.zeros((len(self.costs), *steps.shape), dtype=width_of(self.costs))
        for place, cost in enumerate(self.costs):
            amounts = cost.pair(steps)
            if amounts is not None:
                table[place] = amounts
        return table

    def explain(self, here: Voicings, steps: Steps | None) -> tuple[list[Item], ...]:
        """Items of every term for the only voicing, and the only step to it."""
        return tuple(
            cost.explain_single(here) + ([] if steps is None else cost.explain_pair(steps))
            for cost in self.costs
        )

    def ordinary(self, *, with_step: bool) -> tuple[int, ...]:
        """Nothing is paid for being a chord."""
        del with_step
        return (0,) * len(self.costs)


def width_of(costs: Sequence[Cost]) -> type[np.int16] | type[np.int32]:
    """16 bits hold whole units; tables of fractions need 32."""
    return np.int16 if all(cost.grain == 1 for cost in costs) else np.int32
