"""Which followers of a theme go together: the best sets of two or three, found exactly.

A set is worth the sum of its pairs, and more where the voices enter at even
distances, as in rounds and in the stretti of fugues (common practice), and no pair has
a fault; more again where each enters at the same interval from the one before.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
EVEN, ALIKE = 0.05, 0.02  # added to the mean over all pairs


def steadiness(entries: list[tuple[int, int]]) -> float:
    """Say how much even entries (steps, beats after the leader; in order of time) add."""
    (step, beats), *_ = entries
    places = range(1, len(entries) + 1)
    if len(entries) < 2 or any(e[1] != n * beats for n, e in zip(places, entries, strict=True)):
        return 0.0
    is_alike = all(e[0] == n * step for n, e in zip(places, entries, strict=True))
    return EVEN + (ALIKE if is_alike else 0.0)


@dataclass(frozen=True, slots=True)
class Followers:
    """All followers that may be chosen: arrays of shape (E,), ``mutual`` (E, E).

    ``steps`` and ``beats`` say where each enters; ``solo`` is its score with the leader
    (and with what stands under it), ``mutual`` that of two with each other, -inf where
    they do not go together. ``is_clean`` and ``are_clean`` say where such a pair has no
    fault; ``terms`` is how many scores a set's mean is taken of.
    """

    steps: NDArray[np.int64]
    beats: NDArray[np.int64]
    solo: Floats
    mutual: Floats
    is_clean: NDArray[np.bool_]
    are_clean: NDArray[np.bool_]
    terms: int

    def gain(self, members: tuple[int, ...]) -> float:
        """Say what even entries add to a set's mean."""
        ordered = sorted(members, key=lambda one: (int(self.beats[one]), int(self.steps[one])))
        if not all(self.is_clean[one] for one in ordered):
            return 0.0
        if not all(self.are_clean[one, two] for one, two in itertools.combinations(ordered, 2)):
            return 0.0
        return steadiness([(int(self.steps[one]), int(self.beats[one])) for one in ordered])

    def best_pairs(self, count: int) -> list[tuple[int, ...]]:
        """Give the best sets of two followers, best first."""
        total = self.solo[:, None] + self.solo[None, :] + self.mutual
        even = self.beats[None, :] == 2 * self.beats[:, None]
        alike = even & (self.steps[None, :] == 2 * self.steps[:, None])
        gain = self.terms * (EVEN * even + ALIKE * alike)
        clean = self.is_clean[:, None] & self.is_clean[None, :] & self.are_clean
        total = total + np.maximum(gain, gain.T) * clean
        total[np.tril_indices(len(self.solo))] = -np.inf
        order = np.argsort(-total, axis=None, kind="stable")[:count]
        rows, columns = np.unravel_index(order, total.shape)
        return [
            (int(a), int(b)) for a, b in zip(rows, columns, strict=True) if np.isfinite(total[a, b])
        ]

    def best_triples(
        self,
        count: int,
        is_cancelled: Callable[[], bool] | None,
        report: Callable[[float], None] | None,
    ) -> list[tuple[int, ...]]:
        """Give the best sets of three, trying pairs in the order of what they can still reach."""
        solo, mutual = self.solo, self.mutual
        size = len(solo)
        if size < 3:
            return []
        partial = solo[:, None] + solo[None, :] + mutual
        reach = (solo[None, :] + mutual).max(axis=1)  # best a third can add to one of the pair
        most = mutual.max(axis=1)
        bound = partial + np.minimum(reach[:, None] + most[None, :], most[:, None] + reach[None, :])
        clean = self.is_clean[:, None] & self.is_clean[None, :] & self.are_clean
        wanted = self._even_third() * clean
        bound += self.terms * (EVEN + ALIKE) * (wanted > 0)
        bound[np.tril_indices(size)] = -np.inf
        order = np.argsort(-bound, axis=None, kind="stable")
        best: list[tuple[float, tuple[int, ...]]] = []
        for number, place in enumerate(order):
            a, b = divmod(int(place), size)
            if not np.isfinite(bound[a, b]):
                break
            if len(best) >= count and bound[a, b] <= best[-1][0]:
                break
            if number % 256 == 0:
                if report:
                    report(number / len(order))
                if is_cancelled and is_cancelled():
                    break
            third = partial[a, b] + solo + mutual[a] + mutual[b]
            for c in np.flatnonzero(self.beats == wanted[a, b]) if wanted[a, b] else ():
                third[c] += self.terms * self.gain((a, b, int(c)))
            third[: b + 1] = -np.inf  # each set once, its members rising
            thirds = [int(c) for c in np.argsort(-third)[:count] if np.isfinite(third[c])]
            best += [(float(third[c]), (a, b, c)) for c in thirds]
            best = sorted(best, key=lambda item: (-item[0], item[1]))[:count]
        return [members for _, members in best]

    def _even_third(self) -> NDArray[np.int64]:
        """Give for two followers the beats at which a third makes them even, 0 where none does."""
        one = np.minimum(self.beats[:, None], self.beats[None, :])
        two = np.maximum(self.beats[:, None], self.beats[None, :])
        first = np.where(2 * two == 3 * one, one // 2, 0)
        return np.where(two == 2 * one, 3 * one, np.where(two == 3 * one, 2 * one, first))
