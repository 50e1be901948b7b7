"""Consecutive and direct perfect fifths, octaves and unisons."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.steps import Steps

PERFECT_CLASSES = (0, 7)
STEP = 2
MOST_PARTS = 8
"""Parts whose pairs fit the bits of one word: 28 pairs, fifths and octaves apart."""

Words = NDArray[np.uint64]


def perfect_words(voicings: Voicings) -> Words:
    """The perfect intervals in each voicing as the bits of a word, shape (n,).

    Two bits for each pair of real parts, the first set for an octave or unison, the
    second for a fifth; compound intervals count as simple ones.
    """
    words = np.zeros(len(voicings), dtype=np.uint64)
    for pair, (low, high) in enumerate(combinations(voicings.frame.real_voices, 2)):
        classes = np.abs(voicings.pitches[:, high] - voicings.pitches[:, low]) % 12
        for kind, size in enumerate(PERFECT_CLASSES):
            words |= (classes == size).astype(np.uint64) << np.uint64(2 * pair + kind)
    return words


@cache
def moving_words(real_voices: tuple[int, ...], voices: int) -> Words:
    """For every set of voices that stay, the bits of the pairs that both move, (2**voices,)."""
    table = np.zeros(2**voices, dtype=np.uint64)
    staying = np.arange(2**voices)
    for pair, (low, high) in enumerate(combinations(real_voices, 2)):
        both = ((staying >> low) & 1 | (staying >> high) & 1) == 0
        table |= both.astype(np.uint64) * np.uint64(3 << 2 * pair)
    return table


def count_consecutives(
    before: Words,
    after: Words,
    staying: NDArray[np.uint8],
    real_voices: tuple[int, ...],
    voices: int,
) -> NDArray[np.uint8]:
    """Pairs of real parts in consecutive perfects at every step, shape (r, c).

    Both parts move, in the same or in contrary direction, from a perfect fifth,
    octave or unison to another of the same kind.  `staying` holds, as bits, the
    voices that stay.
    """
    common = before[:, None] & after
    common &= moving_words(real_voices, voices).take(staying)
    count: NDArray[np.uint8] = np.bitwise_count(common)
    return count


def consecutives_of(steps: Steps) -> NDArray[np.integer]:
    """Pairs of real parts in consecutive perfects at every step, shape (r, c)."""
    real = steps.real_voices
    if steps.voices <= MOST_PARTS:
        before, after = perfect_words(steps.before), perfect_words(steps.after)
        return count_consecutives(before, after, steps.staying, real, steps.voices)
    total = np.zeros(steps.shape, dtype=np.int16)
    for low, high in combinations(real, 2):
        total += consecutive_pairs(steps, low, high)
    return total


def consecutive_pairs(steps: Steps, low: int, high: int) -> NDArray[np.bool_]:
    """Where two voices are in consecutive perfects, shape (r, c)."""
    old = np.abs(steps.before.pitches[:, high] - steps.before.pitches[:, low]) % 12
    new = np.abs(steps.after.pitches[:, high] - steps.after.pitches[:, low]) % 12
    same = (old[:, None] == new) & np.isin(new, PERFECT_CLASSES)
    both: NDArray[np.bool_] = same & steps.has_moved[low] & steps.has_moved[high]
    return both


@dataclass(frozen=True, slots=True)
class ConsecutivePerfects(Term):
    """Pairs of real parts in consecutive perfect fifths, octaves or unisons."""

    def pair(self, steps: Steps) -> Amounts:
        """Count of pairs, shape (r, c)."""
        return consecutives_of(steps)

    def pair_share(self, steps: Steps, low: int, high: int) -> Amounts:
        """1 where the two are in consecutive perfects, shape (r, c)."""
        return consecutive_pairs(steps, low, high).astype(np.int16)

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
