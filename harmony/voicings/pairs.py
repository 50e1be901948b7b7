"""The steps between two chords, as the search wants them: blocks of whole numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import Cost
from harmony.voicings.rules import StepRule
from harmony.voicings.steps import Steps


@dataclass(frozen=True, eq=False)
class VoicingPairs:
    """Pair terms of every cost for the steps `before` to `after`.

    Where a cost charges no steps its row is zero, so every pair of chords has the
    same terms.
    """

    before: Voicings
    after: Voicings
    costs: tuple[Cost, ...]
    rules: tuple[StepRule, ...] = ()
    names: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "names", tuple(cost.name for cost in self.costs))

    @property
    def shape(self) -> tuple[int, int]:
        """Number of voicings before and after."""
        return len(self.before), len(self.after)

    def _steps(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> Steps:
        whole = len(rows) == len(self.before) and len(cols) == len(self.after)
        if whole:
            return Steps(self.before, self.after)
        return Steps(self.before.chosen(rows), self.after.chosen(cols))

    def block(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> NDArray[np.integer]:
        """Amounts of every cost, shape (costs, rows, cols)."""
        steps = self._steps(rows, cols)
        block: NDArray[np.integer] = np.zeros(
            (len(self.costs), len(rows), len(cols)), dtype=_width(self.costs)
        )
        for place, cost in enumerate(self.costs):
            amounts = cost.pair(steps)
            if amounts is not None:
                block[place] = amounts
        return block

    def allowed(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> NDArray[np.bool_] | None:
        """Which steps all the rules allow, or None without rules."""
        if not self.rules:
            return None
        steps = self._steps(rows, cols)
        result: NDArray[np.bool_] = np.logical_and.reduce(
            [rule.allows(steps) for rule in self.rules]
        )
        return result

    def floor(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> NDArray[np.integer]:
        """The least amount of each cost over a block."""
        result: NDArray[np.integer] = self.block(rows, cols).min(axis=(1, 2)).astype(np.int64)
        return result


def _width(costs: Sequence[Cost]) -> type[np.integer]:
    """16 bits hold whole units; tables of fractions need 32."""
    return np.int16 if all(cost.grain == 1 for cost in costs) else np.int32


def build_singles(voicings: Voicings, costs: Sequence[Cost]) -> NDArray[np.int32]:
    """Amounts of every cost for every voicing of a chord, shape (costs, n)."""
    table = np.zeros((len(costs), len(voicings)), dtype=np.int32)
    for place, cost in enumerate(costs):
        amounts = cost.single(voicings)
        if amounts is not None:
            table[place] = amounts
    return table
