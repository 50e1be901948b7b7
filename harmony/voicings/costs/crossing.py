"""Voices out of their order: crossed within a chord, or overlapping from one to the next."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.steps import Steps


@dataclass(frozen=True, slots=True)
class Crossing(Term):
    """Neighbouring real parts of which the lower one lies above the upper."""

    def single(self, voicings: Voicings) -> Amounts:
        """Count of crossed neighbours, shape (n,)."""
        count: Amounts = (np.diff(voicings.real_pitches, axis=1) < 0).sum(axis=1, dtype=np.int16)
        return count

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """One item for each crossed pair."""
        real = voicings.frame.real_voices
        return [
            Item((low, high), 1, "{0} lies above {1}")
            for low, high in pairwise(real)
            if voicings.pitches[0, low] > voicings.pitches[0, high]
        ]


@dataclass(frozen=True, slots=True)
class Overlap(Term):
    """Neighbouring real parts of which one passes where the other just was."""

    def pair(self, steps: Steps) -> Amounts:
        """Count of overlaps, shape (r, c)."""
        total = np.zeros(steps.shape, dtype=np.int16)
        old, new = steps.before.pitches, steps.after.pitches
        real = steps.real_voices
        for low, high in pairwise(real):
            total += new[:, low][None, :] > old[:, high][:, None]
            total += new[:, high][None, :] < old[:, low][:, None]
        return total

    def pair_share(self, steps: Steps, low: int, high: int) -> Amounts | None:
        """Count of overlaps of two neighbours, shape (r, c)."""
        real = steps.real_voices
        if real.index(high) - real.index(low) > 1:
            return None
        old, new = steps.before.pitches, steps.after.pitches
        rises = new[:, low][None, :] > old[:, high][:, None]
        falls = new[:, high][None, :] < old[:, low][:, None]
        count: Amounts = rises.astype(np.int16) + falls
        return count

    def explain_pair(self, steps: Steps) -> list[Item]:
        """One item for each overlap."""
        items = []
        old, new = steps.before.pitches[0], steps.after.pitches[0]
        real = steps.real_voices
        for low, high in pairwise(real):
            if new[low] > old[high]:
                items.append(Item((low, high), 1, "{0} rises above where {1} was"))
            if new[high] < old[low]:
                items.append(Item((high, low), 1, "{0} falls below where {1} was"))
        return items
