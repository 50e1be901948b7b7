"""A score's time counted in whole ticks, fine enough for everything in it.

Fractions are exact but slow to add and compare; a layout that is redrawn while a
slider moves counts in integers, which are as exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from harmony.scoring.score import Bar, Score
from harmony.scoring.ticks import common_divisions, fraction_to_ticks


@dataclass(frozen=True, slots=True)
class Timeline:
    """``divisions`` ticks to the quarter, and the bars with their starts and lengths in ticks."""

    divisions: int
    bars: tuple[Bar, ...]
    starts: tuple[int, ...]
    lengths: tuple[int, ...]

    def ticks(self, quarters: Fraction) -> int:
        """Give a time or a length in ticks."""
        return fraction_to_ticks(quarters, self.divisions)


def measure_score(score: Score) -> Timeline:
    """Give the timeline of a score."""
    bars = score.all_bars
    # Bars are divided at beats and half beats, so these must be measured too.
    finest = max((bar.meter.unit for bar in bars), default=4)
    divisions = lcm(common_divisions(_times(score, bars)), 2, finest // 2)
    starts = tuple(fraction_to_ticks(bar.onset, divisions) for bar in bars)
    lengths = tuple(fraction_to_ticks(bar.length, divisions) for bar in bars)
    return Timeline(divisions, bars, starts, lengths)


def _times(score: Score, bars: Iterable[Bar]) -> Iterator[Fraction]:
    """Give every time and length that a writer may have to place."""
    for bar in bars:
        yield bar.onset
        yield bar.length
    for tempo in score.tempi:
        yield tempo.onset
    for harmony in score.harmonies:
        yield harmony.onset
    for key in score.keys:
        yield key.onset
    directions = list(score.directions)
    for part in score.parts:
        for staff in part.staves:
            directions += staff.directions
            for clef in staff.clefs:
                yield clef.onset
            for event in staff.events:
                yield event.onset
                yield event.duration
    for direction in directions:
        yield direction.onset
        if direction.until is not None:
            yield direction.until
