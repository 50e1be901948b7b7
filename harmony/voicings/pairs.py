"""The steps between two chords, as the search wants them: blocks of whole numbers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from harmony.search import SplitPairs
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import Amounts
from harmony.voicings.costs.members import most_given_back
from harmony.voicings.costs.perfects import (
    MOST_PARTS,
    Words,
    count_consecutives,
    perfect_words,
)
from harmony.voicings.measures import Measures
from harmony.voicings.rules import StepRule
from harmony.voicings.splitting import split_pairs
from harmony.voicings.steps import Steps, compare_voices


@dataclass(frozen=True, eq=False)
class VoicingPairs:
    """Pair terms of every cost for the steps `before` to `after`.

    Where a cost charges no steps its row is zero, so every pair of chords has the
    same terms.
    """

    before: Voicings
    after: Voicings
    measures: Measures
    rules: tuple[StepRule, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the costs."""
        return tuple(cost.name for cost in self.measures.costs)

    @property
    def shape(self) -> tuple[int, int]:
        """Number of voicings before and after."""
        return len(self.before), len(self.after)

    def _steps(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> Steps:
        whole = len(rows) == len(self.before) and len(cols) == len(self.after)
        if whole:
            return Steps(self.before, self.after)
        return Steps(self.before.chosen(rows), self.after.chosen(cols))

    def block(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> Amounts:
        """Amounts of every cost, shape (costs, rows, cols)."""
        return self.measures.measure_steps(self._steps(rows, cols))

    def quick(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> dict[str, Amounts]:
        """Motion, consecutive perfects, and the most a freely doubled third can give back.

        Motion is left out where it is not plainly measured, consecutives with more
        than eight voices.
        """
        old, new = self.before.pitches[rows].T, self.after.pitches[cols].T
        found: dict[str, Amounts] = {"doubling": -most_given_back(self.after)[cols][None, :]}
        motion, staying = compare_voices(old, new)
        if self.measures.is_plain_in_motion:
            found["motion"] = motion
        voices = len(old)
        if voices <= MOST_PARTS:
            before, after = self._words
            real = self.after.frame.real_voices
            found["consecutive_perfects"] = count_consecutives(
                before[rows], after[cols], staying, real, voices
            )
        return found

    @cached_property
    def _words(self) -> tuple[Words, Words]:
        return perfect_words(self.before), perfect_words(self.after)

    def allowed(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> NDArray[np.bool_] | None:
        """Which steps all the rules allow, or None without rules."""
        if not self.rules:
            return None
        steps = self._steps(rows, cols)
        mask: NDArray[np.bool_] = np.logical_and.reduce([rule.allows(steps) for rule in self.rules])
        return mask

    def split(self) -> SplitPairs | None:
        """The same told by halves of the voices; None where a cost or rule does not allow it."""
        return self._split

    @cached_property
    def _split(self) -> SplitPairs | None:
        return split_pairs(self.before, self.after, self.measures, self.rules)

    def floor(self, rows: NDArray[np.intp], cols: NDArray[np.intp]) -> Amounts:
        """What no step of a block goes below, by cost: 0, but for a freely doubled third."""
        if not self.measures.has_floor:
            measured: Amounts = self.block(rows, cols).min(axis=(1, 2))
            return measured
        least = np.zeros(len(self.names), dtype=np.int32)
        given = most_given_back(self.after)[cols]
        least[self.names.index("doubling")] = -int(given.max(initial=0))
        return least
