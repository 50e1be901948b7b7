"""Low intervals: findings by sounding pitch, length, dynamic and timbre.

The limits are common practice (tables/07_low_interval_limits.csv of the published
tests), whose traditions differ: where ours differ from that table we warn.
"""

from __future__ import annotations

import warnings

import pytest

from harmony.acoustics.crowding import (
    brightness_of,
    count_crowded,
    find_low_intervals,
    limit_shift,
    low_interval_depth,
    say_interval,
)
from harmony.acoustics.spectrum import spectrum
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch
from tests.published.rows import read_table


def _pitches(names: str) -> list[Pitch]:
    return [Pitch.from_text(name) for name in names.split()]


def test_limits_as_the_table_of_common_practice_has_them() -> None:
    unlike = []
    for row in read_table("07_low_interval_limits"):
        if not row["lowest_lower_midi"]:
            continue
        lower, upper = Pitch.from_text(row["lowest_lower_note"]), Pitch.from_text(row["upper_note"])
        at_limit = low_interval_depth([lower.midi, upper.midi])[0]
        below = low_interval_depth([lower.midi - 1, upper.midi - 1])[0]
        if (at_limit, below) != (0.0, 1.0):
            unlike.append(row["interval"])
    if unlike:
        warnings.warn(f"low limits differ from common practice at {unlike}", stacklevel=1)


def test_findings_name_notes_interval_and_limit() -> None:
    found = find_low_intervals(_pitches("C2 E2 G2"))
    assert [(str(one.lower), str(one.upper)) for one in found] == [("C2", "E2"), ("E2", "G2")]
    assert found[0].to_json() == {
        "lower": "C2",
        "upper": "E2",
        "interval": "M3",
        "lowest": "Bb2",
        "semitones_below": 10,
        "message": "A major third on C2 lies 10 semitones below Bb2, under which it usually grows"
        " thick.",
        "source": "common practice",
    }
    assert find_low_intervals(_pitches("C3 E3 G3")) == ()
    assert low_interval_depth([[36, 40, 43], [48, 52, 55]]).tolist() == [18.0, 0.0]


def test_octaves_are_never_crowded() -> None:
    assert find_low_intervals(_pitches("C1 C2 C3")) == ()


def test_short_soft_and_smooth_bears_more() -> None:
    chord = _pitches("A2 C#3")
    plain = find_low_intervals(chord)
    assert len(plain) == 1
    assert find_low_intervals(chord, seconds=0.2) == ()
    assert find_low_intervals(chord, dynamic="pp") == ()
    loud = find_low_intervals(chord, seconds=10.0, dynamic="ff", brightness=0.8)
    assert loud[0].semitones_below == plain[0].semitones_below + 4
    assert limit_shift(seconds=None, dynamic="mp", brightness=None) == 0
    with pytest.raises(HarmonyError, match="not a dynamic mark"):
        find_low_intervals(chord, dynamic="loud")


def test_brightness_is_the_share_above_the_third_partial() -> None:
    assert brightness_of([1.0, 0.0, 0.0, 0.0]) == 0.0
    assert brightness_of([0.0, 0.0, 0.0, 1.0]) == 1.0
    assert brightness_of([0.0]) == 0.0
    soft, loud = (brightness_of(spectrum("trombone", d).amplitudes(110.0)) for d in ("pp", "ff"))
    assert soft < loud


def test_neighbours_within_a_critical_band() -> None:
    assert count_crowded([36, 40, 43]) == 2
    assert count_crowded([60, 67, 72]) == 0


@pytest.mark.parametrize(
    ("lower", "upper", "words"),
    [
        ("C2", "E2", "major third"), ("C2", "Gb2", "diminished fifth"),
        ("C2", "F#2", "augmented fourth"),
        ("C2", "E3", "major tenth"), ("Cb2", "C##2", "triply augmented unison"),
        ("C2", "G3", "perfect 12th"),
    ],
)  # fmt: skip
def test_intervals_in_words(lower: str, upper: str, words: str) -> None:
    said = say_interval(Pitch.from_text(lower), Pitch.from_text(upper))
    assert said == words
