"""Terms packed so that a change of weights costs one table look-up for each step.

The small whole-number terms of a step are written as the digits of one number (a
mixed-radix code).  For given weights the cost of every possible code is tabled
once, and the cost of a step is then read off by its code.  Terms with too many
values for a code (learnt tables) are kept as they are and multiplied.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmony.search.layers import BoolArray, Layers, PairTerms
from harmony.search.stopping import stop_if_asked
from harmony.search.weights import SINGLE_LIMIT, arithmetic_for, scale_weights

FloatArray = NDArray[np.floating]

CODE_LIMIT = 2**16 - 1
"""Codes are 16-bit; the last is kept for a step that may not be taken."""
JOINT_LIMIT = 2**22
"""Two groups whose codes make more pairs than this are not tried together."""
DIGIT_LIMIT = 2**8
"""A term with more values than this is not worth a digit."""
EAGER_LIMIT = 2**17
"""Up to this many steps all costs are read off at once, above it where needed."""
WHOLE_SHARE = 2
"""A block with more than this share (one half) of a pair's steps is read off whole."""


@dataclass(frozen=True, slots=True)
class CodeGroup:
    """Terms that share a code: their places, lowest values and numbers of values."""

    terms: tuple[int, ...]
    lows: tuple[int, ...]
    radices: tuple[int, ...]

    @property
    def size(self) -> int:
        """Number of codes."""
        return int(np.prod(self.radices, dtype=np.int64))

    def cost_table(self, weights: Sequence[int], kind: type[np.floating]) -> FloatArray:
        """The cost of every code, and one infinite entry at the end."""
        table = np.zeros(1, dtype=kind)
        for term, low, radix in zip(self.terms, self.lows, self.radices, strict=True):
            digit = (np.arange(low, low + radix, dtype=np.int64) * weights[term]).astype(kind)
            table = (table[:, None] + digit[None, :]).ravel()
        return np.append(table, kind(np.inf))

    def read(self, codes: NDArray[np.integer]) -> Iterator[tuple[int, NDArray[np.int64]]]:
        """The terms of some codes: each term's place with its values."""
        rest = codes.astype(np.int64)
        for term, low, radix in zip(
            self.terms[::-1], self.lows[::-1], self.radices[::-1], strict=True
        ):
            rest, digit = np.divmod(rest, radix)
            yield term, digit + low


@dataclass(frozen=True, slots=True, eq=False)
class JoinedGroup:
    """Two groups in one: of the pairs of their codes only those that occur are numbered.

    ``used[code]`` is the first group's code times the second's number of codes, barred
    ones included, plus the second's.
    """

    first: Group
    second: Group
    used: NDArray[np.int64]

    @property
    def size(self) -> int:
        """Number of codes."""
        return len(self.used)

    def cost_table(self, weights: Sequence[int], kind: type[np.floating]) -> FloatArray:
        """The cost of every code, and one infinite entry at the end."""
        tables = [group.cost_table(weights, kind) for group in (self.first, self.second)]
        here, there = np.divmod(self.used, len(tables[1]))
        return np.append(tables[0][here] + tables[1][there], kind(np.inf))

    def read(self, codes: NDArray[np.integer]) -> Iterator[tuple[int, NDArray[np.int64]]]:
        """The terms of some codes: each term's place with its values."""
        here, there = np.divmod(self.used[codes], self.second.size + 1)
        yield from self.first.read(here)
        yield from self.second.read(there)


Group = CodeGroup | JoinedGroup
Codes = NDArray[np.uint16]


def join_groups(
    groups: tuple[Group, ...], codes: tuple[Codes, ...]
) -> tuple[tuple[Group, ...], tuple[Codes, ...]]:
    """Join the smallest group to another where few enough pairs of their codes occur.

    Each group costs a look-up for every step, so one less is worth a pass over the steps.
    """
    found = sorted(zip(groups, codes, strict=True), key=lambda one: one[0].size)
    for (small, small_codes), (other, other_codes) in ((found[0], one) for one in found[1:]):
        width = small.size + 1
        if (other.size + 1) * width > JOINT_LIMIT:
            continue
        stop_if_asked()
        joint = other_codes.astype(np.uint32) * np.uint32(width) + small_codes
        occurs = np.zeros((other.size + 1) * width, dtype=bool)
        occurs[joint] = True
        used = np.flatnonzero(occurs)
        if len(used) > CODE_LIMIT:
            continue
        number = np.zeros(len(occurs), dtype=np.uint16)
        number[used] = np.arange(len(used), dtype=np.uint16)
        rest = [one for one in found[1:] if one[0] is not other]
        rest.append((JoinedGroup(other, small, used), number[joint]))
        return tuple(group for group, _ in rest), tuple(row for _, row in rest)
    return groups, codes


def group_terms(
    lows: NDArray[np.int64], highs: NDArray[np.int64]
) -> tuple[tuple[CodeGroup, ...], tuple[int, ...]]:
    """Distribute terms over as few codes as fit, first fit by falling number of values.

    Returns the groups and the places of the terms that stay uncoded.
    """
    radices = highs - lows + 1
    # A term that is 0 everywhere needs no digit.
    live = [t for t in range(len(radices)) if radices[t] > 1 or lows[t]]
    order = sorted(live, key=lambda t: (-int(radices[t]), t))
    dense = tuple(sorted(t for t in order if radices[t] > DIGIT_LIMIT))
    bins: list[list[int]] = []
    room: list[int] = []
    for term in (t for t in order if radices[t] <= DIGIT_LIMIT):
        radix = int(radices[term])
        place = next((b for b, free in enumerate(room) if free >= radix), None)
        if place is None:
            bins.append([term])
            room.append(CODE_LIMIT // radix)
        else:
            bins[place].append(term)
            room[place] //= radix
    # The widest digit goes last: the cost table is then built in long inner loops.
    groups = tuple(
        CodeGroup(tuple(b), tuple(int(lows[t]) for t in b), tuple(int(radices[t]) for t in b))
        for b in (b[::-1] for b in bins)
    )
    return groups, dense


@dataclass(frozen=True, slots=True)
class PackedLayers:
    """Layers with all their terms worked out, ready to be weighed again and again.

    `codes[g]` holds, one pair after another, the code of every step in group g;
    pair t occupies the stretch `spans[t]`, row by row.  `dense` has shape
    (number of uncoded terms, steps).  `leave_least[t]`, shape (T, n), holds the least
    of each term over the steps that leave a choice, `enter_least[t]`, shape (T, m),
    over those that reach one.
    """

    sizes: tuple[int, ...]
    single: NDArray[np.float64]
    single_high: NDArray[np.int64]
    offsets: tuple[int, ...]
    pair_high: NDArray[np.int64]
    groups: tuple[Group, ...]
    codes: tuple[Codes, ...]
    dense_terms: tuple[int, ...]
    dense: NDArray[np.float32] | NDArray[np.float64]
    spans: tuple[tuple[int, int], ...]
    leave_least: tuple[NDArray[np.float64], ...]
    enter_least: tuple[NDArray[np.float64], ...]

    @property
    def steps(self) -> int:
        """Number of steps held (pairs that stand at several places count once)."""
        return len(self.codes[0]) if self.codes else 0

    def path_terms(self, choices: Sequence[int]) -> NDArray[np.int64]:
        """The terms of every step of a path, read back from the codes, shape (steps, T)."""
        places = np.array(
            [
                start + here * width + there
                for (start, _), (here, there), width in zip(
                    self.spans, pairwise(choices), self.sizes[1:], strict=True
                )
            ],
            dtype=np.intp,
        )
        terms = np.zeros((len(places), len(self.pair_high)), dtype=np.int64)
        for group, codes in zip(self.groups, self.codes, strict=True):
            for term, values in group.read(codes[places]):
                terms[:, term] = values
        for row, term in zip(self.dense, self.dense_terms, strict=True):
            terms[:, term] = row[places]
        return terms

    def weigh(self, single: NDArray[np.float64], pair: NDArray[np.float64]) -> Weighed:
        """Costs for one weight per single term and one per pair term.

        Raises ValueError for weights that are not finite and OverflowError for
        weights with which sums would no longer be exact.
        """
        weights = scale_weights(single, pair)
        kind = arithmetic_for(weights.bound(self.single_high, self.pair_high, len(self.sizes)))
        nodes: FloatArray = (np.asarray(weights.single, dtype=np.float64) @ self.single).astype(
            kind
        )
        node: tuple[FloatArray, ...] = tuple(
            nodes[a:b] for a, b in zip(self.offsets, self.offsets[1:], strict=False)
        )
        tables = tuple(group.cost_table(weights.pair, kind) for group in self.groups)
        rates = np.asarray([weights.pair[t] for t in self.dense_terms], dtype=np.float64)
        weighed = Weighed(self, node, tables, rates, weights.pair, weights.scale, ())
        if self.steps > EAGER_LIMIT:
            return weighed
        flat = weighed.read_costs(0, self.steps)
        edge = tuple(
            flat[a:b].reshape(n, m)
            for (a, b), n, m in zip(self.spans, self.sizes, self.sizes[1:], strict=False)
        )
        return Weighed(self, node, tables, rates, weights.pair, weights.scale, edge)


@dataclass(frozen=True, slots=True)
class Weighed:
    """The costs of all choices and steps under one set of weights.

    Costs are whole numbers held in a floating type in which their sums are exact;
    infinity marks what may not be taken.  Divide by `scale` for the cost proper.
    """

    packed: PackedLayers
    node: tuple[FloatArray, ...]
    tables: tuple[FloatArray, ...]
    rates: NDArray[np.float64]
    pair_rates: tuple[int, ...]
    scale: int
    edge: tuple[FloatArray, ...]

    def read_costs(self, start: int, stop: int) -> FloatArray:
        """Costs of the steps `start` to `stop` of the packed row."""
        total = self.tables[0].take(self.packed.codes[0][start:stop], mode="clip")
        for table, codes in zip(self.tables[1:], self.packed.codes[1:], strict=True):
            total += table.take(codes[start:stop], mode="clip")
        if self.packed.dense_terms and self.rates.any():
            dense = self.packed.dense[:, start:stop].astype(total.dtype, copy=False)
            total += self.rates.astype(total.dtype) @ dense
        return total

    def pair_costs(self, place: int) -> FloatArray:
        """Costs of all steps from layer `place` to the next, shape (n, m)."""
        if self.edge:
            return self.edge[place]
        start, stop = self.packed.spans[place]
        return self.read_costs(start, stop).reshape(self.packed.sizes[place], -1)

    def sub_costs(
        self, place: int, rows: NDArray[np.intp], columns: NDArray[np.intp]
    ) -> FloatArray:
        """Costs of the steps between some choices, shape (len(rows), len(columns)).

        `columns` rise.
        """
        width = self.packed.sizes[place + 1]
        if self.edge:
            return self.edge[place][rows[:, None], columns]
        start, stop = self.packed.spans[place]
        if len(rows) * len(columns) * WHOLE_SHARE > stop - start:
            picked: FloatArray = self.read_costs(start, stop).reshape(-1, width)[rows]
            return picked if len(columns) == width else picked[:, columns]
        places = (start + rows * width)[:, None] + columns
        total = self.tables[0].take(self.packed.codes[0].take(places), mode="clip")
        for table, codes in zip(self.tables[1:], self.packed.codes[1:], strict=True):
            total += table.take(codes.take(places), mode="clip")
        for rate, dense in zip(self.rates.tolist(), self.packed.dense, strict=True):
            if rate:
                total += total.dtype.type(rate) * dense.take(places)
        return total

    def row_costs(self, place: int, choice: int) -> FloatArray:
        """Costs of the steps that leave one choice, shape (m,)."""
        if self.edge:
            row: FloatArray = self.edge[place][choice]
            return row
        width = self.packed.sizes[place + 1]
        start = self.packed.spans[place][0] + choice * width
        return self.read_costs(start, start + width)

    def restrict(self, masks: Sequence[BoolArray | None]) -> Weighed:
        """The same costs with the choices outside each layer's mask taken away."""
        node: tuple[FloatArray, ...] = tuple(
            costs if mask is None else np.where(mask, costs, costs.dtype.type(np.inf))
            for costs, mask in zip(self.node, masks, strict=True)
        )
        return replace(self, node=node)


class _Worked(NamedTuple):
    """One pair's terms worked out: all its steps, which may be taken, the least by choice."""

    block: NDArray[np.integer]
    mask: BoolArray | None
    leave: NDArray[np.float64]
    enter: NDArray[np.float64]


def pack(layers: Layers) -> PackedLayers:
    """Work out every term of every step and pack them."""
    distinct = {id(steps): steps for steps in layers.pair}
    worked = {key: _work_out(steps) for key, steps in distinct.items()}
    lows, highs = _bound_terms(list(worked.values()), len(layers.pair_names))
    groups, dense_terms = group_terms(lows, highs)
    groups = groups or (CodeGroup((), (), ()),)
    fits_single = max(-int(lows.min(initial=0)), int(highs.max(initial=0))) < SINGLE_LIMIT
    total = sum(one.block.shape[1] * one.block.shape[2] for one in worked.values())
    codes = tuple(np.empty(total, dtype=np.uint16) for _ in groups)
    dense = np.empty((len(dense_terms), total), np.float32 if fits_single else np.float64)
    spans: dict[int, tuple[int, int]] = {}
    start = 0
    for key, (block, mask, _, _) in worked.items():
        stop_if_asked()
        stop = start + block.shape[1] * block.shape[2]
        spans[key] = start, stop
        for place, term in enumerate(dense_terms):
            dense[place, start:stop] = block[term].ravel()
        for group, row in zip(groups, codes, strict=True):
            row[start:stop] = _encode(block, group).ravel()
        if mask is not None:
            codes[0][start:stop][~mask.ravel()] = groups[0].size
        start = stop
    single = np.concatenate([s.astype(np.float64) for s in layers.single], axis=1)
    ceiling = np.abs(single).max(axis=1, initial=0.0).astype(np.int64)
    offsets = tuple(int(x) for x in np.cumsum([0, *layers.sizes]))
    keys = [id(steps) for steps in layers.pair]
    joined, joint_codes = join_groups(groups, codes)
    return PackedLayers(
        layers.sizes, single, ceiling, offsets, np.maximum(np.abs(lows), highs), joined,
        joint_codes, dense_terms, dense, tuple(spans[key] for key in keys),
        tuple(worked[key].leave for key in keys), tuple(worked[key].enter for key in keys),
    )  # fmt: skip


def _work_out(steps: PairTerms) -> _Worked:
    stop_if_asked()
    rows, cols = (np.arange(n) for n in steps.shape)
    block = steps.block(rows, cols)
    most = np.iinfo(block.dtype).max
    return _Worked(
        block,
        steps.allowed(rows, cols),
        block.min(axis=2, initial=most).astype(np.float64),
        block.min(axis=1, initial=most).astype(np.float64),
    )


def _bound_terms(
    worked: Sequence[_Worked], terms: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The lowest and highest value of each term over all steps; 0 is always between them."""
    lows, highs = np.zeros(terms, dtype=np.int64), np.zeros(terms, dtype=np.int64)
    for one in worked:
        if one.block.size:
            lows = np.minimum(lows, one.leave.min(axis=1).astype(np.int64))
            highs = np.maximum(highs, one.block.max(axis=(1, 2)))
    return lows, highs


def _encode(block: NDArray[np.integer], group: CodeGroup) -> NDArray[np.uint16]:
    """The code of every step; all digits fit 16 bits because the group's size does."""
    code = np.zeros(block.shape[1:], dtype=np.uint16)
    for term, low, radix in zip(group.terms, group.lows, group.radices, strict=True):
        code *= np.uint16(radix) if radix < 2**16 else 1
        digit = block[term] if low == 0 else block[term] - low
        code += digit.astype(np.uint16)
    return code
