"""Transformations against table 09b (definitions, computed there by other code) and music21."""

from __future__ import annotations

import csv
from fractions import Fraction

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmony.pitch import Interval, Pitch
from harmony.themes import transform
from harmony.themes.rhythm import stretch
from tests.unit.themes.lines import TABLES, lengths, spell, theme_from_text

PLAIN = "C4 D4 E4 C4 E4 F4 G4/2"
BY_NAME = {
    "retrograde": transform.reverse,
    "chromatic inversion about C4": lambda t: transform.invert_real(t, Pitch.from_text("C4")),
    "diatonic (tonal) inversion about C4 in C major": lambda t: transform.invert_diatonic(
        t, Pitch.from_text("C4")
    ),
    "diatonic inversion about E4": lambda t: transform.invert_diatonic(t, Pitch.from_text("E4")),
    "transposed up a diatonic third": lambda t: transform.transpose_diatonic(t, 2),
    "transposed up a real major third": lambda t: transform.transpose_real(
        t, Interval.from_text("M3")
    ),
    "tonal answer-like up a fifth (real)": lambda t: transform.transpose_real(
        t, Interval.from_text("P5")
    ),
}


def table_rows() -> list[tuple[str, str]]:
    with (TABLES / "09b_canon_solutions.csv").open(encoding="utf-8") as file:
        return [
            (row["inputs"], row["expected"])
            for row in csv.DictReader(file)
            if row["quantity"].startswith("theme transformation")
        ]


@pytest.mark.parametrize(("name", "expected"), table_rows())
def test_table_row(name, expected):
    assert spell(BY_NAME[name](theme_from_text(PLAIN))) == expected


def test_augmentation_and_diminution():
    theme = theme_from_text(PLAIN)
    assert lengths(stretch(theme, Fraction(2))) == [2, 2, 2, 2, 2, 2, 4]
    assert lengths(stretch(theme, Fraction(1, 2))) == [Fraction(1, 2)] * 6 + [1]


pitches = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.integers(3, 5))
intervals = st.sampled_from(
    ["m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7"]
)


def in_music21(pitch: Pitch) -> music21.pitch.Pitch:
    return music21.pitch.Pitch(str(pitch).replace("b", "-"))


@given(st.lists(pitches, min_size=1, max_size=8), intervals)
def test_real_transposition_spells_as_music21_does(line, name):
    theme = theme_from_text(" ".join(str(pitch) for pitch in line))
    ours = transform.transpose_real(theme, Interval.from_text(name)).line.sounding
    for mine, given_pitch in zip(ours, line, strict=True):
        theirs = in_music21(given_pitch).transpose(music21.interval.Interval(name))
        assert str(mine.pitch).replace("b", "-") == theirs.nameWithOctave


@given(st.lists(pitches, min_size=1, max_size=8), pitches)
def test_real_inversion_is_music21s_interval_turned_over(line, axis):
    theme = theme_from_text(" ".join(str(pitch) for pitch in line))
    ours = transform.invert_real(theme, axis).line.sounding
    for mine, given_pitch in zip(ours, line, strict=True):
        away = music21.interval.Interval(in_music21(given_pitch), in_music21(axis))
        assert mine.pitch.midi == in_music21(axis).midi + away.semitones
        assert mine.pitch.staff_step == axis.staff_step + away.generic.staffDistance
