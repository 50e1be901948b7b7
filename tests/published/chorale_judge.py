"""How far a cost of voicings agrees with what Bach wrote, as the voicing table lays down.

At every change of chord between triads and sevenths (whole, or without the fifth)
all voicings are listed that have the next chord's pitch classes, its bass lowest and
each voice within its range in the chorales; a voicing already heard is not among
them. A cost is judged by the cross-entropy of exp(-cost / T) with a thousandth of
the uniform chance mixed in, T being fitted on every second change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise, product

import numpy as np

from tests.published.rows import read_table

VOICES = ("bass", "tenor", "alto", "soprano")
RANGES = ((36, 64), (48, 69), (55, 74), (57, 81))
MIXED_IN = 0.001
BREAK = 4
CHORDS = (
    "047", "037", "036", "048", "047A", "047B", "037A", "036A", "0369", "037B", "048B", "04A",
    "03A", "04B", "04", "03",
)  # fmt: skip
TERTIAN = {
    frozenset((int(x, 12) + root) % 12 for x in chord) for chord in CHORDS for root in range(12)
}

Voicing = tuple[int, ...]
Cost = Callable[[np.ndarray, np.ndarray, int], np.ndarray]
"""Of the voicing before (4,), those open (n, 4) and the signature's sharps, the costs (n,)."""


@dataclass(frozen=True)
class Agreement:
    changes: int
    bits: float
    share_found: float
    share_with_consecutives: float


@dataclass(frozen=True)
class Change:
    before: np.ndarray
    listed: np.ndarray
    written: int
    costs: np.ndarray


def judge(cost: Cost) -> Agreement:
    changes = [
        Change(before, listed, written, cost(before, listed, sharps))
        for before, listed, written, sharps in list_changes()
    ]
    temperature = fit_temperature(changes[::2])
    found = [share_at_top(change) for change in changes]
    faults = [consecutives_at_top(change) for change in changes]
    bits = mean_bits(changes, temperature)
    return Agreement(len(changes), bits, float(np.mean(found)), float(np.mean(faults)))


@cache
def list_changes() -> tuple[tuple[np.ndarray, np.ndarray, int, int], ...]:
    return tuple(walk_through())


def walk_through() -> Iterator[tuple[np.ndarray, np.ndarray, int, int]]:
    rows = [(r, tuple(int(r[v]) for v in VOICES)) for r in read_table("chorale_slices")]
    for (row, before), (following, after) in pairwise(rows):
        is_change = row["piece"] == following["piece"] and not int(following["flags"]) & BREAK
        chords = [frozenset(p % 12 for p in voicing) for voicing in (before, after)]
        if not is_change or not TERTIAN.issuperset(chords):
            continue
        listed = [v for v in list_voicings(chords[1], after[0] % 12) if v != before]
        assert after in listed
        yield np.array(before), np.array(listed), listed.index(after), int(row["key_sharps"])


@cache
def list_voicings(chord: frozenset[int], bass: int) -> tuple[Voicing, ...]:
    pools = [[p for p in range(low, high + 1) if p % 12 in chord] for low, high in RANGES]
    pools[0] = [p for p in pools[0] if p % 12 == bass]
    return tuple(
        v for v in product(*pools) if list(v) == sorted(v) and {p % 12 for p in v} == chord
    )


def mean_bits(changes: list[Change], temperature: float) -> float:
    total = 0.0
    for change in changes:
        weight = np.exp((change.costs.min() - change.costs) / temperature)
        chance = weight[change.written] / weight.sum()
        total -= np.log2((1 - MIXED_IN) * chance + MIXED_IN / len(weight))
    return total / len(changes)


def fit_temperature(changes: list[Change]) -> float:
    """Ternary search over the logarithm; the bits have one valley."""
    low, high = -4.0, 4.0
    while high - low > 0.005:
        third = (high - low) / 3
        left, right = low + third, high - third
        if mean_bits(changes, np.exp(left)) < mean_bits(changes, np.exp(right)):
            high = right
        else:
            low = left
    return float(np.exp((low + high) / 2))


def share_at_top(change: Change) -> float:
    """1 where Bach's voicing is cheapest, its share of a tie, else 0."""
    at_top = change.costs == change.costs.min()
    return float(at_top[change.written] / at_top.sum())


def consecutives_at_top(change: Change) -> float:
    cheapest = change.listed[change.costs == change.costs.min()]
    return float(np.mean([has_consecutives(change.before, voicing) for voicing in cheapest]))


def has_consecutives(before: np.ndarray, after: np.ndarray) -> bool:
    """Two voices in fifths or octaves that move to the same in similar motion."""
    for low, high in ((i, j) for j in range(4) for i in range(j)):
        old, new = (before[high] - before[low]) % 12, (after[high] - after[low]) % 12
        is_similar = (after[low] - before[low]) * (after[high] - before[high]) > 0
        if old == new and old in (0, 7) and is_similar:
            return True
    return False
