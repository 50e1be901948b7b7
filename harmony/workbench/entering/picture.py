"""The small staff: what is held, or the melody so far, engraved."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from harmony.pitch import MeterMap
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import Pitch
from harmony.scoring import KeyChange, Part, Score, Staff
from harmony.scoring.build import line_to_events, usual_clef
from harmony.scoring.clef import ClefChange
from harmony.scoring.event import Event
from harmony.workbench.entering.melody import Melody
from harmony.workbench.page import page_units
from harmony.writing.engraving import engrave

_START = Fraction(0)
_MIDDLE_C = 60
_WHOLE = Fraction(4)
_CHORD_UNITS = 620  # of verovio's: room for the signature of seven signs and a wide chord
_MARGINS: dict[str, Any] = {
    "pageMarginLeft": 40,
    "pageMarginRight": 0,
    "pageMarginTop": 10,
    "pageMarginBottom": 10,
}


def draw_held(pitches: Sequence[Pitch], key: Key) -> str:
    """Give SVG of a chord on two staves, divided at middle C, under the key's signature."""
    high = tuple(pitch for pitch in pitches if pitch.midi >= _MIDDLE_C)
    low = tuple(pitch for pitch in pitches if pitch.midi < _MIDDLE_C)
    staves = tuple(
        Staff((Event(_START, _WHOLE, held, id=name),), (ClefChange(_START, clef),))
        for held, clef, name in ((high, "treble", "high"), (low, "bass", "low"))
    )
    score = Score((Part("", staves),), MeterMap.steady("4/4"), keys=(KeyChange(_START, key),))
    # The chord stands out of time; the part's style sheet hides meter, bar line and rests.
    return engrave(score, concert=True, pageWidth=_CHORD_UNITS, breaks="none", **_MARGINS).svg


def draw_melody(melody: Melody, meter: Meter, *, width: int) -> str:
    """Give SVG of the melody so far for a page ``width`` screen pixels wide."""
    line = melody.line
    sounding = [note.pitch for note in line if note.pitch is not None]
    events = line_to_events(line, prefix="m") or (Event(_START, meter.bar_quarters),)
    clef = usual_clef(sounding) if sounding else "treble"
    score = Score(
        (Part("", (Staff(events, (ClefChange(_START, clef),)),)),),
        MeterMap.steady(meter),
        keys=(KeyChange(_START, melody.key),),
    )
    return engrave(score, concert=True, pageWidth=page_units(width), **_MARGINS).svg
