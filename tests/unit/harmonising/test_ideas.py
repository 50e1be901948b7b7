"""Every alternative's sentence is true: what it says is there, and more than in the plain one."""

from __future__ import annotations

from itertools import pairwise

import pytest

import harmony
from harmony.resources import find_corpora

THEMES = ("shuttle", "pattern_drawer", "lamps_out")
IDIOMS = ("common-practice", "modal", "romantic", "third-relations", "extended")


def bass_moves(one, sizes):
    """The share of changes of bass that go up by one of these numbers of semitones."""
    basses = [slot.bass.pitch_class for slot in one.progression]
    moves = [(b - a) % 12 for a, b in pairwise(basses) if a != b]
    return sum(move in sizes for move in moves) / max(1, len(moves))


def length_of(one, says):
    """The share of the time under chords of which something is said."""
    total = sum(slot.duration for slot in one.progression)
    return float(sum(slot.duration for slot in one.progression if says(slot)) / total)


def tonic_of(found):
    return found.melody.key.tonic.pitch_class


def on_degrees(found, one, roots):
    tonic = tonic_of(found)
    return length_of(one, lambda slot: (slot.chord.root.pitch_class - tonic) % 12 in roots)


def plain_notes(one):
    """The share of long notes that are root or fifth of the chord under them."""
    notes = one.theme.line.sounding
    usual = sorted(note.duration for note in notes)[len(notes) // 2]
    long = [note for note in notes if note.duration > usual][:-1]
    total = 0
    for note in long:
        chord = next(s.chord for s in reversed(one.progression.slots) if s.onset <= note.onset)
        total += (note.pitch.pitch_class - chord.root.pitch_class) % 12 in (0, 7)
    return total / max(1, len(long))


SAID = {
    "sinking bass": lambda found, one: bass_moves(one, (10, 11)),
    "rising bass": lambda found, one: bass_moves(one, (1, 2)),
    "chromatic bass": lambda found, one: bass_moves(one, (1, 11)),
    "long notes reread": lambda found, one: 1 - plain_notes(one),
    "other goals": lambda found, one: 1 - on_degrees(found, one, (0, 7)),
    "subdominant side": lambda found, one: 1 - on_degrees(found, one, (7, 11, 4, 0)),
    "mediant side": lambda found, one: on_degrees(
        found, one, (2, 3, 5, 8) if found.melody.key.is_minor else (2, 4, 5, 9)
    ),
    "on the third": lambda found, one: length_of(
        one, lambda slot: slot.chord.bass != slot.chord.root
    ),
    "slower harmony": lambda found, one: 1 / len(one.progression),
    "minor colours": lambda found, one: length_of(
        one, lambda slot: "min" in slot.chord.quality.name
    ),
}


@pytest.mark.parametrize("idiom", IDIOMS)
@pytest.mark.parametrize("name", THEMES)
def test_what_is_said_is_there(name, idiom):
    theme = harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))
    found = harmony.harmonise(theme, idioms=(idiom,), count=8)
    plain = found.alternative(1)
    assert plain.name == "plain reference"
    judged = 0
    for one in found.alternatives[1:]:
        if one.name in SAID:
            judged += 1
            measure = SAID[one.name]
            assert measure(found, one) > measure(found, plain), one.name
    assert judged >= 4
