"""Chords of transposing parts: each letter on a line of its own, each note as it sounds."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest

from harmony.pitch import Interval, Key, MeterMap, Pitch, transpose
from harmony.scoring import Event, KeyChange, Part, Score, Staff
from harmony.scoring.timeline import measure_score
from harmony.writing.mei import write_mei
from harmony.writing.written import plan_readings, write_pitch
from tests.unit.writing.random_scores import TRANSPOSITIONS

PITCHES = [Pitch(letter, alter, 4) for letter in "CDEFGAB" for alter in (-1, 0, 1)]
PAIRS = [
    (low, high)
    for low, high in combinations(PITCHES, 2)
    if low.staff_step != high.staff_step and low.midi != high.midi
]


def score_of(key: str, moved: str, *pitches: Pitch) -> Score:
    event = Event(Fraction(0), Fraction(6), pitches, 1, id="e")
    part = Part("Part", (Staff((event,)),), transposition=Interval.from_text(moved))
    return Score(
        (part,), MeterMap.steady("4/4"), keys=(KeyChange(Fraction(0), Key.from_text(key)),)
    )


@pytest.mark.parametrize("key", ["C", "Bb", "F#", "c#", "Gb", "B", "eb", "A", "f"])
def test_two_letters_of_a_chord_never_share_a_line(key: str) -> None:
    for moved in TRANSPOSITIONS:
        score = score_of(key, moved, PITCHES[0])
        interval = plan_readings(
            score, score.parts[0], measure_score(score), concert=False
        )[0].transposition  # fmt: skip
        for pair in PAIRS:
            low, high = (write_pitch(pitch, interval, pair) for pitch in pair)
            assert low.staff_step != high.staff_step, (moved, pair)
            assert max(abs(low.alter), abs(high.alter)) <= 2
            assert tuple(transpose(p, interval).midi for p in (low, high)) == tuple(
                pitch.midi for pitch in pair
            )


def test_ties_of_such_a_chord_are_told_apart() -> None:
    pair = (Pitch.from_text("Eb4"), Pitch.from_text("Fb4"))
    mei = write_mei(score_of("F#", "-M9", *pair))
    # Written alone they would both be Gs, and no tie could say which it holds.
    assert mei.count('pname="f" oct="5"') == mei.count('pname="g" oct="5"') == 2
    assert mei.count('tie="i"') == mei.count('tie="t"') == 2
