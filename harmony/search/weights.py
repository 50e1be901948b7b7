"""Weights as exact whole numbers.

Sums of whole numbers below 2**24 are exact in single precision and below 2**53
in double precision.  So weights are taken to the nearest millionth, brought to
whole numbers with one common scale, and the narrowest arithmetic is chosen in
which no sum of the problem at hand can be rounded.  "Equal" then means equal.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import NDArray

RESOLUTION = 1_000_000
SINGLE_LIMIT = 2**24
DOUBLE_LIMIT = 2**53


@dataclass(frozen=True, slots=True)
class ExactWeights:
    """Whole-number weights; divided by `scale` they are the weights asked for."""

    single: tuple[int, ...]
    pair: tuple[int, ...]
    scale: int

    def bound(
        self, single_ceiling: NDArray[np.int64], pair_ceiling: NDArray[np.int64], layers: int
    ) -> int:
        """The largest absolute cost a path over `layers` layers can reach."""
        at_most = sum(abs(w) * int(c) for w, c in zip(self.single, single_ceiling, strict=True))
        at_most += sum(abs(w) * int(c) for w, c in zip(self.pair, pair_ceiling, strict=True))
        return at_most * layers


def scale_weights(single: NDArray[np.float64], pair: NDArray[np.float64]) -> ExactWeights:
    """Bring two rows of weights to whole numbers with one scale.

    Weights are rounded to the nearest millionth.  Raises ValueError for a weight
    that is not a finite number.
    """
    both = np.concatenate(
        [np.asarray(single, dtype=np.float64), np.asarray(pair, dtype=np.float64)]
    )
    if not np.isfinite(both).all():
        raise ValueError("weights must be finite numbers")
    whole = [round(w * RESOLUTION) for w in both.tolist()]
    common = gcd(RESOLUTION, *whole)
    whole = [w // common for w in whole]
    return ExactWeights(
        tuple(whole[: len(single)]), tuple(whole[len(single) :]), RESOLUTION // common
    )


def arithmetic_for(bound: int) -> type[np.float32] | type[np.float64]:
    """The narrowest floating type in which sums up to `bound` are exact.

    Raises OverflowError when none is.
    """
    if bound < SINGLE_LIMIT:
        return np.float32
    if bound < DOUBLE_LIMIT:
        return np.float64
    raise OverflowError("these weights are too large, or too finely graded, for exact sums")
