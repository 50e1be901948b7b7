"""The cheapest way on from every choice, by halves: one layer's part of the exact search.

Rows are taken by their upper half, columns by their lower one.  For one upper half
the cost of every column, but for what passes between the halves, is gathered once;
a row then asks of each group of columns with the same lower half first what it costs
at the least, and looks into the group only where that could still be cheaper than the
best it has.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from harmony.search.layers import Indices
from harmony.search.split import Bits, Charge, SplitSteps, Whole

PART = 2**21
"""Steps between two looks at whether to go on, at most: some milliseconds."""
NARROW = 2**31 - 1
SHORT_WORD = 2**32 - 1

Kind = Literal["int32", "int64"]
Engine = Callable[..., int]
"""Works out rows `first` to `last` of a field, arguments as its fields stand; counts steps."""


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """One layer's part, as plain arrays in the order the engines read them.

    Rows (n) are sorted by their upper half, columns (m) by their lower half; group g
    has the lower half ``group_lower[g]`` and ends before column ``group_end[g]``.
    `base` is the cost from each column on with all that charges can give back, `given`
    that alone.  The word of the first charge stands apart from the `rest`, whose arrays
    have one row for each charge.  `least` holds for each row what is too dear to be of
    use, and takes the answer: the cheapest way on, where it is cheaper.
    """

    row_lower: Indices
    row_upper: Indices
    row_word: NDArray[np.unsignedinteger]
    row_rest: Bits
    group_lower: Indices
    group_end: Indices
    column_upper: Indices
    base: NDArray[np.integer]
    given: NDArray[np.integer]
    column_word: NDArray[np.unsignedinteger]
    column_rest: Bits
    lower: NDArray[np.integer]
    upper: NDArray[np.integer]
    lower_word: NDArray[np.unsignedinteger]
    upper_word: NDArray[np.unsignedinteger]
    lower_rest: Bits
    upper_rest: Bits
    rates: NDArray[np.integer]
    rest_rates: NDArray[np.integer]
    least: NDArray[np.integer]

    def arrays(self) -> tuple[Any, ...]:
        """All arrays in order."""
        return tuple(getattr(self, one.name) for one in fields(self))

    def parts(self) -> Iterator[tuple[int, int]]:
        """Stretches of rows, each of a few upper halves and not too many steps."""
        rows, columns = len(self.row_upper), len(self.column_upper)
        ends = np.flatnonzero(np.diff(self.row_upper)) + 1
        first = 0
        for end in [*ends.tolist(), rows]:
            if end - first and (end == rows or (end - first) * columns >= PART):
                yield first, end
                first = end


def build_field(steps: SplitSteps, ahead: Whole, limit: Whole, kind: Kind) -> tuple[Field, Indices]:
    """Sort a layer's part for the engines; also gives the order of the rows.

    Parameters
    ----------
    steps
        From rows to columns.
    ahead
        The cost from each column on, itself included, shape (m,).
    limit
        The dearest way on that is of use, by row, shape (n,).
    kind
        The numbers to reckon in, see `find_kind`.
    """
    rows = np.argsort(steps.before.upper, kind="stable")
    columns = np.argsort(steps.after.lower, kind="stable")
    given = steps.given_back()[columns]
    own = steps.chosen(rows, columns)
    groups, sizes = np.unique(own.after.lower, return_counts=True)
    ends = np.cumsum(sizes)
    first, rest = _part_charges(own)
    field = Field(
        own.before.lower, own.before.upper, first.before.astype(np.uint32),
        _stack([c.before for c in rest], (len(rows),)),
        groups, ends, own.after.upper,
        (ahead[columns] + given).astype(kind), given.astype(kind),
        first.after.astype(np.uint32), _stack([c.after for c in rest], (len(columns),)),
        own.lower.astype(kind), own.upper.astype(kind),
        first.lower.astype(np.uint32), first.upper.astype(np.uint32),
        _stack([c.lower for c in rest], own.lower.shape),
        _stack([c.upper for c in rest], own.upper.shape),
        np.array([first.rate], dtype=kind), np.array([c.rate for c in rest], dtype=kind),
        (limit[rows] + 1).astype(kind),
    )  # fmt: skip
    return field, rows


def find_kind(steps: Sequence[SplitSteps], dearest: int) -> Kind:
    """The narrowest whole numbers that hold every sum, costs up to `dearest` on either side."""
    tallest = max((own.highest() for own in steps), default=0)
    return "int32" if 2 * (tallest + dearest) < NARROW else "int64"


def _part_charges(steps: SplitSteps) -> tuple[Charge, tuple[Charge, ...]]:
    """The charge the engines read for each step, none giving back and short, and the others."""
    for number, charge in enumerate(steps.charges):
        if charge.rate >= 0 and int(charge.after.max(initial=0)) <= SHORT_WORD:
            return charge, steps.charges[:number] + steps.charges[number + 1 :]
    sides = len(steps.before.lower), len(steps.after.lower)
    nothing = [np.zeros(n, dtype=np.uint64) for n in sides]
    tables = [np.zeros(table.shape, dtype=np.uint64) for table in (steps.lower, steps.upper)]
    return Charge(0, 0, nothing[0], nothing[1], tables[0], tables[1]), steps.charges


def _stack(arrays: list[Bits], shape: tuple[int, ...]) -> Bits:
    return np.stack(arrays) if arrays else np.zeros((0, *shape), dtype=np.uint64)


def work_out_plainly(first: int, last: int, *arrays: Any) -> int:
    """The engine in array operations: rows `first` to `last` into `least`."""
    field = Field(*arrays)
    uppers = field.row_upper[first:last]
    ends = np.append(np.flatnonzero(np.diff(uppers)) + 1, last - first) + first
    steps = 0
    for end in ends.tolist():
        steps += _work_out_upper(field, first, end)
        first = end
    return steps


def _work_out_upper(field: Field, first: int, last: int) -> int:
    """Rows that share an upper half."""
    upper = field.row_upper[first]
    floor = field.upper[upper][field.column_upper] + field.base
    sizes = np.diff(field.group_end, prepend=0)
    lowest = np.minimum.reduceat(floor, field.group_end - sizes)
    lower = field.lower[field.row_lower[first:last]]
    bounds = lower[:, field.group_lower] + lowest
    best = field.least[first:last]
    open_rows = np.flatnonzero(bounds.min(axis=1) < best)
    if not len(open_rows):
        return 0
    bounds, best = bounds[open_rows], best[open_rows]
    rows = first + open_rows
    word = field.upper_word[upper][field.column_upper] & field.column_word
    steps = 0
    # The most promising groups first; they leave little to look at in the others.
    wanted = np.zeros(bounds.shape[1], dtype=bool)
    wanted[bounds.argmin(axis=1)] = True
    for turn in range(2):
        if turn:
            wanted = ~wanted & (bounds < best[:, None]).any(axis=0)
        columns = np.flatnonzero(np.repeat(wanted, sizes))
        if len(columns):
            groups = np.repeat(np.arange(len(sizes))[wanted], sizes[wanted])
            _lower_best(field, rows, columns, groups, floor, word, best)
            steps += len(rows) * len(columns)
    field.least[rows] = best
    return steps


def _lower_best(
    field: Field,
    rows: Indices,
    columns: Indices,
    groups: Indices,
    floor: NDArray[np.integer],
    word: NDArray[np.unsignedinteger],
    best: NDArray[np.integer],
) -> None:
    """Lower `best` to the cheapest of some columns, where one is cheaper."""
    mine, theirs = field.row_lower[rows], field.group_lower[groups]
    common = (field.row_word[rows][:, None] & field.lower_word[mine][:, field.group_lower])[
        :, groups
    ]
    common &= word[columns]
    total = np.bitwise_count(common).astype(floor.dtype)
    total *= field.rates[0]
    total += field.lower[mine][:, theirs]
    total += floor[columns]
    # What the rest adds is worked out for the cheapest first, then where it still matters.
    lines = np.arange(len(rows))
    places = total.argmin(axis=1)
    np.minimum(best, _add_rest(field, rows, columns[places], theirs[places],
                               total[lines, places]), out=best)  # fmt: skip
    line, place = np.nonzero(total < best[:, None])
    if len(line):
        whole = _add_rest(field, rows[line], columns[place], theirs[place], total[line, place])
        np.minimum.at(best, line, whole.astype(best.dtype))


def _add_rest(
    field: Field, rows: Indices, columns: Indices, theirs: Indices, floors: NDArray[np.integer]
) -> NDArray[np.integer]:
    """The exact costs of some steps, from their floors."""
    total = floors - field.given[columns]
    mine, upper = field.row_lower[rows], field.row_upper[rows]
    for number, rate in enumerate(field.rest_rates.tolist()):
        common = field.row_rest[number, rows] & field.column_rest[number, columns]
        common &= field.lower_rest[number, mine, theirs]
        common &= field.upper_rest[number, upper, field.column_upper[columns]]
        total += (np.bitwise_count(common) * np.int64(rate)).astype(total.dtype)
    return total
