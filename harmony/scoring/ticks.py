"""Exact times as whole numbers of ticks."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import lcm


def fraction_to_ticks(quarters: Fraction, divisions: int) -> int:
    """Give a fraction of a quarter as a count of ticks (the divisions must measure it)."""
    numerator, denominator = quarters.as_integer_ratio()
    return numerator * (divisions // denominator)


def common_divisions(values: Iterable[Fraction]) -> int:
    """Give the fewest divisions of a quarter that measure every value."""
    return lcm(*{value.as_integer_ratio()[1] for value in values})
