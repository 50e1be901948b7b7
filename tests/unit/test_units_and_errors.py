"""Units of time and height, and the shape of what is said of faults."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.errors import HarmonyError, NoSolutionError, TextError
from harmony.units import (
    as_quarters,
    hz_to_midi,
    midi_to_hz,
    quarters_to_json,
    quarters_to_seconds,
    ratio_to_cents,
)


def test_times_are_exact() -> None:
    assert as_quarters(0.3333333) == Fraction(1, 3)
    assert as_quarters("3/2") == Fraction(3, 2)
    assert as_quarters(2) == 2
    assert as_quarters(Fraction(1, 7)) == Fraction(1, 7)
    assert [type(quarters_to_json(q)) for q in (Fraction(2), Fraction(1, 2))] == [int, float]
    assert quarters_to_seconds(Fraction(3), 90) == 2


@pytest.mark.parametrize("value", ["x", "1/0", float("nan"), float("inf"), None])
def test_what_is_no_time_is_told(value: object) -> None:
    with pytest.raises(HarmonyError, match="is not a length in quarter notes"):
        as_quarters(value)  # type: ignore[arg-type]


def test_heights_convert_both_ways() -> None:
    assert midi_to_hz(69) == 440
    assert hz_to_midi(midi_to_hz(60.5)) == pytest.approx(60.5)
    assert ratio_to_cents(2) == 1200


def test_a_text_error_marks_its_stretch_in_its_line() -> None:
    fault = TextError("No.", text="first\nsecond word\n", start=13, end=17, expected="that")
    assert fault.marked() == "second word\n       ^^^^"
    beyond = TextError("No.", text="ab", start=2, end=2)
    assert beyond.marked() == "ab\n  ^"


def test_errors_carry_sentence_and_place() -> None:
    fault = HarmonyError("It is so.", where="bar 3")
    assert fault.to_json() == {"error": {"message": "It is so.", "where": "bar 3"}}
    assert isinstance(fault, ValueError)
    none = NoSolutionError("None.", rule="range", chord="I", voice="Alto", relax="the range")
    assert (none.rule, none.chord, none.voice, none.relax) == ("range", "I", "Alto", "the range")
