"""Harmonisations of 40 chorale tunes beside Bach's: the goals, and what is reached.

Tables and measures are those of `tests/published/test_chorale_harmony.py`, whose tests
hold what has been reached.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations, groupby
from typing import Any

import numpy as np
import pytest

import harmony
from tests.benchmarks.ledger import Ledger
from tests.published.chorale_melodies import (
    Beat,
    agreement,
    case_to_theme,
    chords_by_beat,
    read_cases,
)

CASES = read_cases()
MEASURES = {
    "root": "harmony_roots",
    "bass": "harmony_basses",
    "root_quality": "harmony_qualities",
    "root_at_fermata": "harmony_ends",
}

pytestmark = pytest.mark.timeout(900)


def harmonise_all(*, marked: bool) -> list[list[list[Beat]]]:
    """For each tune the chords by beat of its alternatives, with or without phrase marks."""
    found = []
    for case in CASES:
        data = harmony.harmonise(case_to_theme(case, fermatas=marked)).to_json()
        found.append([chords_by_beat(case, one["chords"]) for one in data["alternatives"]])
    return found


def test_chorale_tunes(ledger: Ledger) -> None:
    found, unmarked = harmonise_all(marked=True), harmonise_all(marked=False)
    scores, plain = (agreement(CASES, [one[0] for one in each]) for each in (found, unmarked))
    for measure, name in MEASURES.items():
        ledger.enter(name, scores[measure])
    lost = {measure: scores[measure] - plain[measure] for measure in MEASURES}
    worst = max(lost, key=lambda measure: lost[measure])
    ledger.enter("harmony_unmarked", lost[worst], note=worst.replace("_", " "))
    ledger.enter("harmony_best_by_piece", best_of_five(found, by_phrase=False))
    ledger.enter("harmony_best_by_phrase", best_of_five(found, by_phrase=True))
    ledger.enter("harmony_entropy", float(np.mean([entropy(one[0]) for one in found])))
    apart = [differences(alternatives) for alternatives in found]
    ledger.enter("harmony_apart", float(np.mean([np.mean(each) for each in apart])))
    ledger.enter("harmony_nearest", min(map(min, apart)))


def best_of_five(found: list[list[list[Beat]]], *, by_phrase: bool) -> float:
    """The share of beats with Bach's root where the best alternative is taken each time."""
    right = beats = 0
    for case, alternatives in zip(CASES, found, strict=True):
        for places in phrases_of(case) if by_phrase else [range(len(case["truth"]))]:
            known = [place for place in places if case["truth"][place] is not None]
            beats += len(known)
            right += max(
                sum(one[place][0] == case["truth"][place][0] for place in known)
                for one in alternatives
            )
    return right / beats


def phrases_of(case: dict[str, Any]) -> list[list[int]]:
    """The places of each phrase's beats; one that ends under a fermata ends its phrase."""
    ends = set(case["fermata_beats"])
    phrases: list[list[int]] = [[]]
    for place in range(len(case["truth"])):
        if place - 1 in ends and place not in ends:
            phrases.append([])
        phrases[-1].append(place)
    return phrases


def entropy(chords: list[Beat]) -> float:
    """Entropy in nats of the chords, one counted for each change."""
    heard = [chord for chord, _ in groupby(chords)]
    shares = np.array(list(Counter((root, quality) for root, quality, _ in heard).values()))
    shares = shares / shares.sum()
    return float(-(shares * np.log(shares)).sum())


def differences(alternatives: list[list[Beat]]) -> list[float]:
    """The share of beats with another root, for each two alternatives."""
    return [
        sum(a[0] != b[0] for a, b in zip(one, other, strict=True)) / len(one)
        for one, other in combinations(alternatives, 2)
    ]
