"""Huron's consonance of a set of notes, from the intervals between them (1994)."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

#: By interval class 1 to 6: means of three published scales, set to mean 0 and
#: standard deviation 1 (Huron 1994, Music Perception 11(3)).
CLASS_CONSONANCE = (-1.428, -0.582, 0.594, 0.386, 1.240, -0.453)


def aggregate_consonance(pitch_classes: Iterable[int]) -> float:
    """Add up the consonance of every interval class among the notes.

    ``pitch_classes`` are semitones above C, each counted once. Higher is more
    consonant; only sets of the same size compare well.

    >>> round(aggregate_consonance([0, 4, 7]), 2)
    2.22
    """
    present = sorted({one % 12 for one in pitch_classes})
    total = 0.0
    for low, high in combinations(present, 2):
        apart = high - low
        total += CLASS_CONSONANCE[min(apart, 12 - apart) - 1]
    return total
