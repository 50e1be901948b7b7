"""The problem every search takes: layers of choices and the steps between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from harmony.search.split import SplitPairs

IntArray = NDArray[np.integer]
BoolArray = NDArray[np.bool_]
Indices = NDArray[np.intp]


class PairTerms(Protocol):
    """The terms of every step from one layer to the next, handed out in blocks.

    A block is asked for by row and column indices, so that a search over large
    layers need never hold the whole table.
    """

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the T terms, in the order of a block's first axis."""

    @property
    def shape(self) -> tuple[int, int]:
        """Number of choices in the earlier and in the later layer."""

    def block(self, rows: Indices, cols: Indices) -> IntArray:
        """Whole-number terms, shape (T, len(rows), len(cols))."""

    def quick(self, rows: Indices, cols: Indices) -> dict[str, IntArray]:
        """Those terms that are quick to work out, or floors of them, by name.

        Each has shape (len(rows), len(cols)), or (1, len(cols)) where it is the same
        for all rows.

        All other terms of the step must be 0 or more.  May be empty.
        """

    def allowed(self, rows: Indices, cols: Indices) -> BoolArray | None:
        """Which steps may be taken, shape (len(rows), len(cols)); None if all may."""

    def floor(self, rows: Indices, cols: Indices) -> IntArray:
        """For each term a number no step from `rows` to `cols` goes below, shape (T,)."""

    def split(self) -> SplitPairs | None:
        """Give the same terms told by halves, None where they cannot be."""


@dataclass(frozen=True, slots=True)
class ArrayPairs:
    """Pair terms held as one array of shape (T, n, m), for problems small enough."""

    names: tuple[str, ...]
    values: IntArray
    mask: BoolArray | None = None

    def __post_init__(self) -> None:
        if self.values.ndim != 3 or self.values.shape[0] != len(self.names):
            raise ValueError(
                f"values must have shape ({len(self.names)}, n, m), not {self.values.shape}"
            )
        if not np.issubdtype(self.values.dtype, np.integer):
            raise ValueError(f"terms must be whole numbers, not {self.values.dtype}")
        if self.mask is not None and self.mask.shape != self.values.shape[1:]:
            raise ValueError(f"mask must have shape {self.values.shape[1:]}, not {self.mask.shape}")

    @property
    def shape(self) -> tuple[int, int]:
        """Number of choices in the earlier and in the later layer."""
        return self.values.shape[1], self.values.shape[2]

    def block(self, rows: Indices, cols: Indices) -> IntArray:
        """Give the terms of the steps from `rows` to `cols`."""
        return self.values[:, rows[:, None], cols[None, :]]

    def quick(self, rows: Indices, cols: Indices) -> dict[str, IntArray]:
        """Give every term: in an array all are quick."""
        return dict(zip(self.names, self.block(rows, cols), strict=True))

    def allowed(self, rows: Indices, cols: Indices) -> BoolArray | None:
        """Give which of these steps may be taken."""
        return None if self.mask is None else self.mask[rows[:, None], cols[None, :]]

    def floor(self, rows: Indices, cols: Indices) -> IntArray:
        """Give the least value of each term over these steps."""
        lowest: IntArray = self.block(rows, cols).min(axis=(1, 2))
        return lowest

    def split(self) -> None:
        """Tell nothing by halves: the array is all there is."""


@dataclass(frozen=True, slots=True)
class Layers:
    """A row of layers.

    `single[t]` has shape (T1, n_t): the terms of each of the n_t choices of layer
    t.  `pair[t]` gives the terms of the steps from layer t to layer t + 1, so it is
    one shorter.  All layers share the names `names`, all steps the names of the
    first `PairTerms`.  The same `PairTerms` object may stand at several places; it
    is then worked out once.
    """

    names: tuple[str, ...]
    single: tuple[IntArray, ...]
    pair: tuple[PairTerms, ...]

    def __post_init__(self) -> None:
        if not self.single:
            raise ValueError("a problem needs at least one layer")
        if len(self.pair) != len(self.single) - 1:
            raise ValueError(
                f"{len(self.single)} layers need {len(self.single) - 1} pairs, not {len(self.pair)}"
            )
        for place, terms in enumerate(self.single):
            if terms.ndim != 2 or terms.shape[0] != len(self.names):
                raise ValueError(
                    f"layer {place}: shape must be ({len(self.names)}, n), not {terms.shape}"
                )
        for place, steps in enumerate(self.pair):
            expected = (self.single[place].shape[1], self.single[place + 1].shape[1])
            if steps.shape != expected:
                raise ValueError(f"pair {place}: shape must be {expected}, not {steps.shape}")
            if steps.names != self.pair[0].names:
                raise ValueError(f"pair {place}: names differ from those of pair 0")

    @property
    def pair_names(self) -> tuple[str, ...]:
        """Names of the pair terms; empty when there is one layer only."""
        return self.pair[0].names if self.pair else ()

    @property
    def sizes(self) -> tuple[int, ...]:
        """Number of choices in each layer."""
        return tuple(terms.shape[1] for terms in self.single)
