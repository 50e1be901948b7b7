"""The number of realisations of random figured basses, against music21's realiser.

Reference: music21 10.5.1, `music21.figuredBass.realizer`, default rules.
"""

from __future__ import annotations

import random
import warnings

import pytest
from music21 import key as music21_key
from music21 import note
from music21.figuredBass import realizer, rules

from harmony.pitch.interval import Interval, transpose
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch
from tests.oracle.figured_bass import FIGURES, FiguredChord, count_realisations

LINES, GROUPS = 504, 12
KEYS = ("C", "G", "F", "D", "Bb", "a", "e", "d", "g", "c")


def random_line(number):
    """Key, figured basses, parts and highest pitch; four in five lines have a realisation."""
    rng = random.Random(number)
    while True:
        key = Key.from_text(rng.choice(KEYS))
        parts = 4 if number % 3 else 3
        length = rng.choice((2, 3)) if parts == 4 else rng.choice((2, 3, 4))
        highest = Pitch.from_text(rng.choice(("C5", "D5", "E5")))
        chords = draw_chords(rng, key, length, falling=number % 2 == 1)
        if number % 5 == 0 or count_realisations(chords, parts, highest):
            return key, chords, parts, highest


def draw_chords(rng, key, length, *, falling):
    """Figured basses without augmented sixths; `falling` basses let dominants find tonics."""
    chords = []
    while len(chords) < length:
        bass = rng.choice(key.scale).in_octave(3)
        if falling and chords and rng.random() < 0.6:
            bass = transpose(chords[-1].bass.name, Interval(3, 5)).in_octave(3)
        figures = rng.choice(list(FIGURES))
        if key.mode == "major" and "#" in figures and rng.random() < 0.5:
            continue
        chord = FiguredChord.read(bass, figures, key)
        distinct = {name.pitch_class for name in chord.names}
        if not has_augmented_sixth(chord) and len(distinct) == len(chord.names):
            chords.append(chord)
    return chords


def has_augmented_sixth(chord):
    """True where two names stand an augmented sixth apart."""
    return any(
        (a.step - b.step) % 7 == 5 and (a.pitch_class - b.pitch_class) % 12 == 10
        for a in chord.names
        for b in chord.names
    )


def music21_name(pitch):
    """Flats are written with a minus sign there."""
    return str(pitch).replace("b", "-")


def count_with_music21(key, chords, parts, highest):
    """What music21's realiser counts."""
    line = realizer.FiguredBassLine(music21_key.Key(music21_name(key.tonic), key.mode))
    for chord in chords:
        line.addElement(note.Note(music21_name(chord.bass)), chord.figures or None)
    realisation = line.realize(rules.Rules(), numParts=parts, maxPitch=music21_name(highest))
    return realisation.getNumSolutions()


@pytest.mark.slow
@pytest.mark.parametrize("group", range(GROUPS))
def test_counts_are_equal(group):
    per_group = LINES // GROUPS
    for number in range(group * per_group, (group + 1) * per_group):
        key, chords, parts, highest = random_line(number)
        ours = count_realisations(chords, parts, highest)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            theirs = count_with_music21(key, chords, parts, highest)
        told = [(str(c.bass), c.figures) for c in chords]
        assert ours == theirs, (number, str(key), told, parts, str(highest))
