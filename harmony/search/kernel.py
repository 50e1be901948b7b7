"""The compiled engine: `onward.work_out_plainly` in loops.  Importing this needs numba.

Arguments are the arrays of `onward.Field` in their order.
"""

from __future__ import annotations

from typing import Any

import numba
import numpy as np

Array = Any


@numba.njit(inline="always")
def count_small(bits: Any) -> Any:
    """Bits set in a 32-bit word, by sums of neighbours: this form works on many at once."""
    bits = np.uint32(bits - ((bits >> np.uint32(1)) & np.uint32(0x55555555)))
    pairs = np.uint32((bits >> np.uint32(2)) & np.uint32(0x33333333))
    bits = np.uint32((bits & np.uint32(0x33333333)) + pairs)
    bits = np.uint32((bits + (bits >> np.uint32(4))) & np.uint32(0x0F0F0F0F))
    return np.int32(np.uint32(bits * np.uint32(0x01010101)) >> np.uint32(24))


@numba.njit(inline="always")
def count_bits(bits: Any) -> Any:
    """Bits set in a 64-bit word."""
    low, high = np.uint32(bits & np.uint64(0xFFFFFFFF)), np.uint32(bits >> np.uint64(32))
    return count_small(low) + count_small(high)


@numba.njit(inline="always")
def gather(
    costs: Array, bits: Array, column_upper: Array, base: Array, column_word: Array,
    ends: Array, floor: Array, word: Array, lowest: Array,
) -> None:  # fmt: skip
    """For one upper half of rows: floors and words of all columns, the lowest of each group."""
    for column in range(len(base)):
        floor[column] = base[column] + costs[column_upper[column]]
        word[column] = column_word[column] & bits[column_upper[column]]
    begin = 0
    for group in range(len(ends)):
        cheapest = floor[begin]
        for column in range(begin, ends[group]):
            cheapest = min(cheapest, floor[column])
        lowest[group] = cheapest
        begin = ends[group]


@numba.njit(inline="always")
def weigh_group(
    begin: int, end: int, within: Any, bits: Any, rate: Any, floor: Array, word: Array,
    total: Array,
) -> Any:  # fmt: skip
    """The floors of one row's steps into a group, the word counted; gives the lowest."""
    # Two plain loops, so that each works on many columns at once.
    for column in range(begin, end):
        count = count_small(np.uint32(bits & word[column]))
        total[column] = floor[column] + within + rate * count
    cheapest = total[begin]
    for column in range(begin + 1, end):
        cheapest = min(cheapest, total[column])
    return cheapest


@numba.njit(nogil=True, cache=True, boundscheck=False)
def work_out_rows(
    first: int, last: int, row_lower: Array, row_upper: Array, row_word: Array, row_rest: Array,
    group_lower: Array, ends: Array, column_upper: Array, base: Array, given: Array,
    column_word: Array, column_rest: Array, lower: Array, upper: Array, lower_word: Array,
    upper_word: Array, lower_rest: Array, upper_rest: Array, rates: Array, rest_rates: Array,
    least: Array,
) -> int:  # fmt: skip
    """Work out rows `first` to `last` into `least`; gives the number of steps looked at."""
    groups, steps, last_upper = len(group_lower), 0, -1
    floor, word, total = np.empty_like(base), np.empty_like(column_word), np.empty_like(base)
    lowest = np.empty(groups, base.dtype)
    for row in range(first, last):
        high, mine, best = row_upper[row], row_lower[row], least[row]
        if high != last_upper:
            last_upper = high
            gather(
                upper[high], upper_word[high], column_upper, base, column_word, ends, floor, word,
                lowest,
            )  # fmt: skip
        start, bound = 0, best
        for group in range(groups):
            here = lower[mine, group_lower[group]] + lowest[group]
            if here < bound:
                start, bound = group, here
        if bound >= best:
            continue
        for turn in range(groups):
            # The most promising group first; it leaves little to look at in the others.
            group = (start + turn) % groups
            theirs = group_lower[group]
            within = lower[mine, theirs]
            if within + lowest[group] >= best:
                continue
            begin, end = ends[group - 1] if group else 0, ends[group]
            steps += end - begin
            bits = row_word[row] & lower_word[mine, theirs]
            if weigh_group(begin, end, within, bits, rates[0], floor, word, total) >= best:
                continue
            for column in range(begin, end):
                if total[column] >= best:
                    continue
                whole = total[column] - given[column]
                for number in range(len(rest_rates)):
                    common = row_rest[number, row] & column_rest[number, column]
                    common &= lower_rest[number, mine, theirs]
                    common &= upper_rest[number, high, column_upper[column]]
                    whole += rest_rates[number] * count_bits(common)
                best = min(best, whole)
        least[row] = best
    return steps
