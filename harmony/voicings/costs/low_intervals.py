"""Intervals too low to be heard clearly."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from harmony.pitch.spelling import Pitch
from harmony.tables import read_rows
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Item, Term
from harmony.voicings.words import count_words, interval_words, with_article

TABLE = "low_intervals.csv"


@cache
def lowest_notes() -> NDArray[np.int16]:
    """The lowest lower note (MIDI) at which each interval is clear, by semitones; 0: no limit."""
    rows = read_rows(
        TABLE, lambda row: (int(row["semitones"]), Pitch.from_text(row["lowest"]).midi)
    )
    table = np.zeros(max(size for size, _ in rows) + 2, dtype=np.int16)
    for size, lowest in rows:
        table[size] = lowest
    return table


@dataclass(frozen=True, slots=True)
class LowIntervals(Term):
    """Semitones by which neighbouring notes lie below the low limit of their interval."""

    def single(self, voicings: Voicings) -> Amounts:
        """Semitones below the limits, shape (n,)."""
        total: Amounts = self._shortfalls(voicings)[1].sum(axis=1, dtype=np.int16)
        return total

    def explain_single(self, voicings: Voicings) -> list[Item]:
        """One item for each interval below its limit."""
        order = np.argsort(voicings.pitches[0], kind="stable").tolist()
        heights, short = self._shortfalls(voicings)
        items = []
        for place, amount in enumerate(short[0].tolist()):
            if amount:
                gap = int(heights[0, place + 1] - heights[0, place])
                words = (
                    f"{with_article(interval_words(gap))} between {{0}} and {{1}}"
                    f" lies {count_words(amount, 'semitone')} below its low limit"
                )
                items.append(Item((order[place], order[place + 1]), amount, words))
        return items

    @staticmethod
    def _shortfalls(voicings: Voicings) -> tuple[NDArray[np.int16], NDArray[np.int16]]:
        heights = np.sort(voicings.pitches, axis=1)
        table = lowest_notes()
        gaps = np.minimum(np.diff(heights, axis=1), len(table) - 1)
        limits = table[gaps]
        return heights, np.maximum(limits - heights[:, :-1], 0).astype(np.int16)
