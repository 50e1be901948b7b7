"""What each cost measures, in chords laid out and reckoned by hand.

The points are those that the sentences of the costs state; table 04a and the hand-outs
named beside the terms say which writing is charged, and these which figure it has.
"""

from __future__ import annotations

import pytest

from harmony.chords.api import parse
from harmony.instruments.catalogue import ensemble
from harmony.pitch.spelling import Pitch
from harmony.voicings.api import prepare
from harmony.voicings.pins import Pin
from harmony.voicings.rules import RuleSet

LOOSE = RuleSet(crossing=12, gaps=False, is_complete=False, tendency_once=False)
NAMES = ("Soprano", "Alto", "Tenor", "Bass")


def _height(pitch: Pitch) -> int:
    return pitch.midi


def measure(term: str, text: str, *chords: str) -> int:
    """Give what a term measures at the last of the chords, each laid out from the bass up."""
    pins = [
        Pin(slot, 3 - place, Pitch.from_text(name))
        for slot, chord in enumerate(chords)
        for place, name in enumerate(chord.split())
    ]
    # Registers as narrow as the notes: nothing else need be laid out.
    sung = [[pin.pitch for pin in pins if pin.voice == voice] for voice in range(len(NAMES))]
    ranges = [(min(own, key=_height), max(own, key=_height)) for own in sung]
    players = ensemble("SATB choir").with_registers(dict(zip(NAMES, ranges, strict=True)))
    found = prepare(parse(text), players, LOOSE, preset="strings", pins=pins).best()
    column = [cost.name for cost in found.costs].index(term)
    assert found.costs[column].grain == 1
    return int(found.amounts[-1][column])


@pytest.mark.parametrize(
    ("term", "text", "chords", "points"),
    [
        # Upper voices: semitones beyond a major third.
        ("leaps", "C: I | I", ("C3 G3 E4 C5", "C3 G3 E4 E5"), 0),
        ("leaps", "C: I | I", ("C3 G3 E4 G4", "C3 G3 E4 C5"), 1),
        ("leaps", "C: I | I", ("C3 G3 E4 C5", "C3 G3 E4 G5"), 3),
        ("leaps", "C: I | I", ("C3 G3 E4 G4", "C3 G3 E4 G5"), 8),
        # A seventh, and more than an octave: three more.
        ("leaps", "C: V7 | V7", ("G2 D3 B3 G4", "G2 D3 B3 F5"), 9),
        ("leaps", "C: I | I", ("C3 G3 E4 C4", "C3 G3 E4 E5"), 15),
        # The bass: semitones beyond a fifth, an octave free.
        ("leaps", "C: I | I64", ("C3 G3 E4 C5", "G3 G3 E4 C5"), 0),
        ("leaps", "C: I | vi", ("C3 G3 E4 C5", "A3 A3 E4 C5"), 2),
        ("leaps", "C: I | I", ("C4 E4 G4 C5", "C3 E4 G4 C5"), 0),
        ("leaps", "C: I | V6", ("C4 E4 G4 C5", "B2 D4 G4 D5"), 9),
        # Augmented as spelled: three more, a diminished fourth as any fourth.
        ("leaps", "C: IV | V", ("F3 C4 F4 A4", "G3 D4 B4 G4"), 5),
        ("leaps", "c: VI6 | V", ("C3 C4 Ab4 Eb5", "G3 D4 B4 D5"), 3),
        ("leaps", "c: i | V", ("C3 G3 C4 Eb4", "G2 G3 D4 B4"), 7),
        # Upper gaps beyond a fourth, thrice beyond an octave; the lowest beyond a twelfth.
        ("spacing", "C: I", ("C3 G3 C4 E4",), 0),
        ("spacing", "C: I", ("C3 C4 G4 C5",), 2),
        ("spacing", "C: I", ("C3 G3 C4 G5",), 28),
        ("spacing", "C: I6", ("E2 C4 G4 C5",), 3),
        ("spacing", "C: I", ("C3 C4 C4 G4",), 4),
        ("spacing", "C: Cmaj7", ("C3 B3 E4 C5",), 7),
        # Tendency notes.
        ("resolution", "C: V7 | I", ("G2 D4 F4 B4", "C3 C4 E4 C5"), 0),
        ("resolution", "C: V7 | I", ("G2 D4 F4 B4", "C3 C4 G4 C5"), 4),
        ("resolution", "C: V7 | I", ("G2 D4 F4 B4", "C3 C4 E4 G4"), 4),
        ("resolution", "C: V | I", ("G2 D4 B4 D5", "C3 E4 G4 C5"), 1),
        ("resolution", "C: V | I", ("G2 D4 B4 D5", "C3 E4 E4 C5"), 4),
        ("resolution", "C: vi7 | ii", ("A2 G3 C4 E4", "D3 F3 A3 D4"), 0),
        ("resolution", "C: vi7 | ii", ("A2 G3 C4 E4", "D3 A3 D4 F4"), 4),
        # What is doubled (a third by contrary steps is free) and what is left out.
        ("doubling", "C: I", ("C3 E3 G3 C4",), 0),
        ("doubling", "C: I", ("C3 G3 E4 G4",), 1),
        ("doubling", "C: I", ("C3 E3 G3 E4",), 2),
        ("doubling", "C: V", ("G2 B3 D4 B4",), 8),
        ("doubling", "C: V7", ("G2 F3 B3 F4",), 8),
        ("doubling", "C: V | vi", ("G2 D4 G4 B4", "A2 C4 E4 C5"), 0),
        ("doubling", "C: ii | vi", ("D3 D4 F4 A4", "A2 C4 E4 C5"), 2),
        ("completeness", "C: V7", ("G2 B3 D4 G4",), 6),
        ("completeness", "C: V7", ("G2 F3 B3 G4",), 1),
        ("completeness", "C: I", ("C3 C4 E4 C5",), 2),
        # Outer voices into a fifth in similar motion: by step it is free.
        ("direct_perfects", "C: V7 | I", ("G2 D4 B4 F5", "C3 E4 C5 G5"), 0),
        ("direct_perfects", "C: iii64 | I", ("B2 G3 B3 E4", "C3 E3 C4 G4"), 1),
        ("direct_perfects", "C: V | I", ("G2 D4 G4 B4", "C3 E4 G4 G5"), 1),
        ("direct_perfects", "C: V | I", ("G3 D4 G4 B4", "C3 E4 G4 G5"), 0),
        ("motion", "C: I | IV", ("C3 G3 E4 C5", "F3 A3 F4 C5"), 8),
        ("common_tones", "C: I | vi", ("C3 G3 E4 C5", "A2 A3 C4 E5"), 2),
    ],
)
def test_what_a_cost_measures(term: str, text: str, chords: tuple[str, ...], points: int) -> None:
    assert measure(term, text, *chords) == points
