"""A sonority as a score: one chord on two staves."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from harmony.pitch.meter import MeterMap
from harmony.pitch.spelling import Pitch
from harmony.scoring.clef import ClefChange
from harmony.scoring.event import Event
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Score

_MIDDLE = 60


def sonority_to_score(pitches: Sequence[Pitch], *, title: str = "") -> Score:
    """Give a bar of 4/4 with the sonority, split between the staves at middle C.

    The chord of the upper staff has the id ``upper``, of the lower ``lower``.
    """
    whole = Fraction(4)
    start = Fraction(0)
    upper = tuple(pitch for pitch in pitches if pitch.midi >= _MIDDLE)
    lower = tuple(pitch for pitch in pitches if pitch.midi < _MIDDLE)
    staves = (
        Staff((Event(start, whole, upper, id="upper"),)),
        Staff((Event(start, whole, lower, id="lower"),), (ClefChange(start, "bass"),)),
    )
    return Score(
        parts=(Part("Sonority", staves, instrument="piano", sustains=False),),
        meters=MeterMap.steady("4/4"),
        title=title,
    )
