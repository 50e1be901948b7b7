"""Limits on how much of a harmonisation may agree with something, in whole units of time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.spans import Span

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Limit:
    """So many units at least, and at most where said, must lie on counted chords.

    ``counts`` marks the chords counted in each span, shape (spans, chords).
    """

    counts: BoolArray
    least: int
    most: int | None = None

    @property
    def cap(self) -> int:
        """The largest sum that must be told apart."""
        return self.least if self.most is None else max(self.least, self.most + 1)

    def holds(self, total: int) -> bool:
        """True where a whole way's sum keeps the limit."""
        return total >= self.least and (self.most is None or total <= self.most)


def units_of(spans: Sequence[Span]) -> tuple[tuple[int, ...], Fraction]:
    """Every span's length in the longest unit that measures all of them, and that unit."""
    common = math.lcm(*(span.duration.denominator for span in spans))
    lengths = [int(span.duration * common) for span in spans]
    step = math.gcd(*lengths)
    return tuple(length // step for length in lengths), Fraction(step, common)
