"""Steps told by halves: plain arrays from which the cost of any step is read at once.

Each choice is a lower half and an upper half, and few halves make many choices.  What
a step costs within the lower halves stands in one small table, within the upper
halves in another; what passes between the halves is counted by the bits of a few
words.  So nothing as large as all steps is ever made, and what the two tables say
alone is a floor found without looking at every step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.search.layers import BoolArray, Indices, IntArray

Bits = NDArray[np.uint64]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Word:
    """An amount of one term for every bit set in four words together.

    A step from choice i to choice j sets the bits of ``before[i] & after[j] &
    lower[l, m] & upper[u, v]``, l and m the lower halves of i and j, u and v their
    upper halves; at most `most` of them.  `amount` may be negative.
    """

    term: int
    amount: int
    most: int
    before: Bits
    after: Bits
    lower: Bits
    upper: Bits


@dataclass(frozen=True, slots=True)
class Halves:
    """The number of the lower and of the upper half of every choice, both shape (n,)."""

    lower: Indices
    upper: Indices

    def chosen(self, keep: Indices) -> Halves:
        """Give the halves of some choices."""
        return Halves(self.lower[keep], self.upper[keep])


@dataclass(frozen=True, slots=True, eq=False)
class Bars:
    """Steps that may not be taken, told by halves.

    A step is barred where `lower` (a, b) or `upper` (u, v) is not 0, or where it sets a
    bit of one of the `words`, whose terms and amounts mean nothing.
    """

    lower: IntArray
    upper: IntArray
    words: tuple[Word, ...]


@dataclass(frozen=True, eq=False)
class SplitPairs:
    """Pair terms told by halves.

    `lower` has shape (T, a, b), a and b the number of lower halves before and after,
    `upper` likewise.  Nothing is barred where `bars` is None.
    """

    names: tuple[str, ...]
    before: Halves
    after: Halves
    lower: IntArray
    upper: IntArray
    words: tuple[Word, ...]
    bars: Bars | None = None

    @classmethod
    def free(cls, names: tuple[str, ...], before: int, after: int) -> SplitPairs:
        """Steps that cost nothing, from `before` choices to `after`."""
        old, new = (np.zeros(n, dtype=np.intp) for n in (before, after))
        nothing = np.zeros((len(names), 1, 1), dtype=np.int16)
        return cls(names, Halves(old, old), Halves(new, new), nothing, nothing, ())

    @property
    def shape(self) -> tuple[int, int]:
        """Number of choices in the earlier and in the later layer."""
        return len(self.before.lower), len(self.after.lower)

    def block(self, rows: Indices, cols: Indices) -> IntArray:
        """Give the terms of the steps from `rows` to `cols`."""
        old, new = self.before.chosen(rows), self.after.chosen(cols)
        total = self.lower[:, old.lower[:, None], new.lower].astype(np.int64)
        total += self.upper[:, old.upper[:, None], new.upper]
        for word in self.words:
            total[word.term] += word.amount * _count_bits(word, rows, cols, old, new)
        return total

    def quick(self, rows: Indices, cols: Indices) -> dict[str, IntArray]:
        """Give every term: all are quick."""
        return dict(zip(self.names, self.block(rows, cols), strict=True))

    def allowed(self, rows: Indices, cols: Indices) -> BoolArray | None:
        """Give which of these steps are not barred; None where none is."""
        if self.bars is None:
            return None
        old, new = self.before.chosen(rows), self.after.chosen(cols)
        free: BoolArray = self.bars.lower[old.lower[:, None], new.lower] == 0
        free &= self.bars.upper[old.upper[:, None], new.upper] == 0
        for word in self.bars.words:
            free &= _count_bits(word, rows, cols, old, new) == 0
        return free

    def floor(self, rows: Indices, cols: Indices) -> IntArray:
        """Give the least value of each term over these steps."""
        lowest: IntArray = self.block(rows, cols).min(axis=(1, 2))
        return lowest

    def split(self) -> SplitPairs:
        """Give itself."""
        return self

    def weigh(self, rates: Sequence[int], bar: int = 0) -> SplitSteps:
        """The costs of all steps under whole-number rates, one a term.

        A barred step costs at least `bar` more.  Words keep their order; those that are
        charged nothing are left out.
        """
        whole = np.asarray(rates, dtype=np.int64)
        charged = [
            Charge(
                int(whole[w.term]) * w.amount,
                w.most,
                w.before, w.after, w.lower, w.upper,
            )
            for w in self.words
            if rates[w.term]
        ]  # fmt: skip
        lower = np.tensordot(whole, self.lower.astype(np.int64), axes=1)
        upper = np.tensordot(whole, self.upper.astype(np.int64), axes=1)
        if self.bars is not None and bar:
            lower += bar * (self.bars.lower != 0)
            upper += bar * (self.bars.upper != 0)
            charged += [
                Charge(bar, w.most, w.before, w.after, w.lower, w.upper) for w in self.bars.words
            ]
        return SplitSteps(self.before, self.after, lower, upper, tuple(charged))


@dataclass(frozen=True, slots=True)
class Charge:
    """A word with what every bit costs; a step sets at most `most` of them."""

    rate: int
    most: int
    before: Bits
    after: Bits
    lower: Bits
    upper: Bits


@dataclass(frozen=True, slots=True)
class SplitSteps:
    """Costs of all steps from one layer to the next, told by halves; whole numbers."""

    before: Halves
    after: Halves
    lower: Whole
    upper: Whole
    charges: tuple[Charge, ...]

    def floors(self, rows: Indices, cols: Indices) -> Whole:
        """What the steps from `rows` to `cols` cost at the least: the charges as they may be."""
        return self._tables(rows, cols) + self.given_back()[cols]

    def _tables(self, rows: Indices, cols: Indices) -> Whole:
        old, new = self.before.chosen(rows), self.after.chosen(cols)
        total: Whole = self.lower[old.lower[:, None], new.lower]
        total += self.upper[old.upper[:, None], new.upper]
        return total

    def costs(self, rows: Indices, cols: Indices) -> Whole:
        """The costs of the steps from `rows` to `cols`."""
        old, new = self.before.chosen(rows), self.after.chosen(cols)
        total = self._tables(rows, cols)
        for charge in self.charges:
            total += charge.rate * _count_bits(charge, rows, cols, old, new)
        return total

    def chosen(self, rows: Indices, cols: Indices) -> SplitSteps:
        """The same between some choices only."""
        return SplitSteps(
            self.before.chosen(rows), self.after.chosen(cols), self.lower, self.upper,
            tuple(
                Charge(c.rate, c.most, c.before[rows], c.after[cols], c.lower, c.upper)
                for c in self.charges
            ),
        )  # fmt: skip

    def turned(self) -> SplitSteps:
        """The same steps taken backward: from the later layer to the earlier."""
        return SplitSteps(
            self.after, self.before, np.ascontiguousarray(self.lower.T),
            np.ascontiguousarray(self.upper.T),
            tuple(
                Charge(
                    c.rate, c.most, c.after, c.before,
                    np.ascontiguousarray(c.lower.T), np.ascontiguousarray(c.upper.T),
                )
                for c in self.charges
            ),
        )  # fmt: skip

    def highest(self) -> int:
        """A number that no step costs more than, either way."""
        tables = int(np.abs(self.lower).max()) + int(np.abs(self.upper).max())
        return tables + sum(abs(charge.rate) * charge.most for charge in self.charges)

    def given_back(self) -> Whole:
        """What the charges can come to at the least at each later choice, shape (m,)."""
        least = np.zeros(len(self.after.lower), dtype=np.int64)
        for charge in self.charges:
            if charge.rate < 0:
                least += np.where(charge.after != 0, charge.rate * charge.most, 0)
        return least


def _count_bits(
    word: Word | Charge, rows: Indices, cols: Indices, old: Halves, new: Halves
) -> NDArray[np.int64]:
    common = word.lower[old.lower[:, None], new.lower]
    common &= word.upper[old.upper[:, None], new.upper]
    common &= word.before[rows][:, None]
    common &= word.after[cols]
    return np.bitwise_count(common).astype(np.int64)


def reach_floors(steps: SplitSteps, spent: Whole) -> Whole:
    """Floors of the cheapest way to each later choice, `spent` up to each earlier, (m,).

    The halves alone are asked, in two turns: which lower half follows, then which
    upper one; charges count with what they can give back at the most.
    """
    before, after = steps.before, steps.after
    # By one half at a time, which stays in the processor's cache.
    uppers, rows = _group(before.upper)
    through = np.array(
        [(steps.lower[before.lower[own]] + spent[own][:, None]).min(axis=0) for own in rows]
    )
    by_lower = np.ascontiguousarray(through.T)
    table = np.ascontiguousarray(steps.upper[uppers].T)
    arrived = np.empty(len(after.lower), dtype=np.int64)
    for lower, columns in zip(*_group(after.lower), strict=True):
        arrived[columns] = (table[after.upper[columns]] + by_lower[lower]).min(axis=1)
    return arrived + steps.given_back()


def _group(halves: Indices) -> tuple[Indices, list[Indices]]:
    """The different halves, and the choices that have each."""
    order = np.argsort(halves, kind="stable")
    different, starts = np.unique(halves[order], return_index=True)
    return different, np.split(order, starts[1:])
