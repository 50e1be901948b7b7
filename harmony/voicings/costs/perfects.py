"""Consecutive and direct perfect fifths, octaves and unisons."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.steps import Steps

PERFECT_CLASSES = (0, 7)
STEP = 2


def consecutive_pairs(steps: Steps, low: int, high: int) -> NDArray[np.bool_]:
    """Where two voices go from a perfect fifth, octave or unison to another of the same kind.

    Both move, in the same or in contrary direction; compound intervals count as
    simple ones.  Shape (r, c).
    """
    old = np.abs(steps.before.pitches[:, high] - steps.before.pitches[:, low]) % 12
    new = np.abs(steps.after.pitches[:, high] - steps.after.pitches[:, low]) % 12
    same = np.zeros(steps.shape, dtype=bool)
    for kind in PERFECT_CLASSES:
        rows, cols = np.flatnonzero(old == kind), np.flatnonzero(new == kind)
        if len(rows) and len(cols):
            same[rows[:, None], cols] = True
    # Both voices keep their interval class, so where one moves by no octave the other moves too;
    # each is still asked, because a voice may stay while the other leaps an octave.
    result: NDArray[np.bool_] = same & steps.has_moved[low] & steps.has_moved[high]
    return result


@dataclass(frozen=True, slots=True)
class ConsecutivePerfects(Term):
    """Pairs of real parts in consecutive perfect fifths, octaves or unisons."""

    def pair(self, steps: Steps) -> Amounts:
        """Count of pairs, shape (r, c)."""
        total = np.zeros(steps.shape, dtype=np.int16)
        for low, high in combinations(steps.real_voices, 2):
            total += consecutive_pairs(steps, low, high)
        return total

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each pair of voices."""
        items = []
        for low, high in combinations(steps.real_voices, 2):
            if consecutive_pairs(steps, low, high)[0, 0]:
                gap = abs(int(steps.after.pitches[0, high]) - int(steps.after.pitches[0, low]))
                name = "fifths" if gap % 12 else ("octaves" if gap else "unisons")
                items.append(Item((low, high), 1, f"consecutive {name} between {{1}} and {{0}}"))
        return items


@dataclass(frozen=True, slots=True)
class DirectPerfects(Term):
    """Outer real parts that reach a perfect fifth or octave in similar motion, the top by leap."""

    def pair(self, steps: Steps) -> Amounts:
        """1 where it happens, shape (r, c)."""
        if len(steps.real_voices) < 2:
            return np.zeros(steps.shape, dtype=np.int16)
        low, high = steps.real_voices[0], steps.real_voices[-1]
        new = (steps.after.pitches[:, high] - steps.after.pitches[:, low]) % 12
        old = (steps.before.pitches[:, high] - steps.before.pitches[:, low]) % 12
        arrives = np.isin(new, PERFECT_CLASSES)[None, :]
        fresh = new[None, :] != old[:, None]
        top, bottom = steps.moves[high], steps.moves[low]
        similar = np.sign(top) * np.sign(bottom) > 0
        result: Amounts = (arrives & fresh & similar & (np.abs(top) > STEP)).astype(np.int16)
        return result

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item where it happens."""
        if not self.pair(steps)[0, 0]:
            return []
        low, high = steps.real_voices[0], steps.real_voices[-1]
        gap = int(steps.after.pitches[0, high]) - int(steps.after.pitches[0, low])
        name = "fifth" if gap % 12 else "octave"
        words = f"direct {name} between {{1}} and {{0}}, {{1}} leaping"
        return [Item((low, high), 1, words)]
