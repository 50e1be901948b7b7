"""Laws of harmonising: moved tunes take moved chords; costs add up; wishes only narrow."""

from __future__ import annotations

from dataclasses import replace

import pytest

import harmony
from harmony.pitch import Key, Line
from harmony.pitch.interval import Interval, transpose
from harmony.resources import find_corpora

IDIOMS = ("common-practice", "modal", "romantic", "third-relations", "pedal", "parallel")


@pytest.fixture(scope="module")
def themes():
    return [
        harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))
        for name in ("shuttle", "pattern_drawer", "lamps_out")
    ]


def moved(theme, key: str, home: str, octaves: int = 0):
    """The theme from one tonic to another, letters and all."""
    letters = (Key.from_text(key).tonic.step - Key.from_text(home).tonic.step) % 7
    semitones = (Key.from_text(key).tonic.pitch_class - Key.from_text(home).tonic.pitch_class) % 12
    interval = Interval(letters, semitones)
    notes = tuple(replace(note, pitch=transpose(note.pitch, interval)) for note in theme.line)
    return replace(theme, line=Line(notes), key=None)


def chords(one, tonic: int):
    return [
        (slot.onset, (slot.chord.root.pitch_class - tonic) % 12, slot.chord.quality.name,
         (slot.bass.pitch_class - tonic) % 12)
        for slot in one.progression
    ]  # fmt: skip


@pytest.mark.parametrize("idiom", IDIOMS)
def test_a_tune_moved_takes_its_chords_along(themes, idiom):
    for theme, home, key in zip(
        themes, ("D dorian", "E", "d"), ("F dorian", "Ab", "g"), strict=True
    ):
        here = harmony.harmonise(theme, idioms=(idiom,), key=home, count=3)
        there = harmony.harmonise(moved(theme, key, home), idioms=(idiom,), key=key, count=3)
        for one, other in zip(here.alternatives, there.alternatives, strict=True):
            assert chords(one, Key.from_text(home).tonic.pitch_class) == chords(
                other, Key.from_text(key).tonic.pitch_class
            )
            assert one.cost == pytest.approx(other.cost)


@pytest.mark.parametrize("idiom", IDIOMS)
def test_asked_twice_the_answer_is_the_same(themes, idiom):
    for theme in themes:
        one, two = (harmony.harmonise(theme, idioms=(idiom,)).to_json() for _ in range(2))
        assert one == two


@pytest.mark.parametrize("idiom", ["common-practice", "modal", "romantic"])
def test_a_chord_fixed_as_it_stands_changes_nothing(themes, idiom):
    """The first alternative is the cheapest, so to ask for one of its chords costs nothing."""
    for theme in themes:
        free = harmony.harmonise(theme, idioms=(idiom,), count=1).alternative(1)
        slot = free.progression.slots[-1]
        place = f"{slot.bar}.{float(slot.beat):g}={slot.key}: {slot.figure}"
        bound = harmony.harmonise(theme, idioms=(idiom,), count=1, fixed=(place,)).alternative(1)
        assert bound.cost == pytest.approx(free.cost)
