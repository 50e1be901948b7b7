"""Half and full cadences where the textbooks' own tunes have them.

The tunes are typed from memory and in every songbook; what their phrases close on is
what textbooks of harmony teach by them (recalled, no page): Beethoven's theme of
opus 125 as a half cadence answered by a full one, Ah vous dirai-je and the British
anthem as phrases that close fully.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import harmony
from harmony.harmonising.cadences import find_cadences
from harmony.pitch import Key, Line, MeterMap, Note, Pitch, Theme

#: key, meter, notes with their lengths in quarters, the bars that close and how.
TUNES = {
    "Beethoven, opus 125, finale": (
        "D", "4/4",
        "F#4 1 F#4 1 G4 1 A4 1 A4 1 G4 1 F#4 1 E4 1 D4 1 D4 1 E4 1 F#4 1 F#4 1.5 E4 .5 E4 2 "
        "F#4 1 F#4 1 G4 1 A4 1 A4 1 G4 1 F#4 1 E4 1 D4 1 D4 1 E4 1 F#4 1 E4 1.5 D4 .5 D4 2",
        (16, 32), ("half", "full"),
    ),
    "Ah vous dirai-je": (
        "C", "2/4",
        "C4 1 C4 1 G4 1 G4 1 A4 1 A4 1 G4 2 F4 1 F4 1 E4 1 E4 1 D4 1 D4 1 C4 2",
        (16,), ("full",),
    ),
    "God save the King": (
        "G", "3/4",
        "G4 1 G4 1 A4 1 F#4 1.5 G4 .5 A4 1 B4 1 B4 1 C5 1 B4 1.5 A4 .5 G4 1 A4 1 G4 1 F#4 1 G4 3",
        (18,), ("full",),
    ),
}  # fmt: skip


def tune(name: str) -> Theme:
    key, meter, text, ends, _ = TUNES[name]
    words = text.split()
    notes, onset = [], Fraction(0)
    for pitch, length in zip(words[::2], words[1::2], strict=True):
        notes.append(Note(onset, Fraction(length), Pitch.from_text(pitch)))
        onset += Fraction(length)
    assert onset == ends[-1]
    return Theme(
        Line(tuple(notes)), MeterMap.steady(meter), Key.from_text(key),
        tuple(Fraction(end) for end in ends),
    )  # fmt: skip


@pytest.mark.parametrize("name", TUNES)
def test_phrases_close_as_the_textbooks_have_them(name):
    theme = tune(name)
    found = harmony.harmonise(theme, key=TUNES[name][0], count=1)
    closes = find_cadences(found.alternative(1), found.melody)
    # A tune with one end named may be found to have an inner one as well.
    ends = {Fraction(end) for end in TUNES[name][3]}
    named = [one for one in closes if found.melody.phrases[one.phrase - 1].end in ends]
    assert tuple(one.kind for one in named) == TUNES[name][4]


@pytest.mark.parametrize("kind", ["evaded", "elided"])
def test_beethoven_s_half_close_can_be_asked_for_otherwise(kind):
    theme = tune("Beethoven, opus 125, finale")
    found = harmony.harmonise(theme, key="D", count=2, cadences=(kind, "full"))
    for one in found.alternatives:
        first, second = find_cadences(one, found.melody)
        assert (first.kind, second.kind) == (kind, "full")
