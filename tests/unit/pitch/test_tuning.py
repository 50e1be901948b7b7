"""Pure tuning of a chord above its root."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch, PitchName
from harmony.pitch.tuning import JustInterval, just_intervals, pure_hz, tempered_hz
from harmony.units import ratio_to_cents


def _cents_off(names: str, root: str) -> list[float]:
    pitches = [Pitch.from_text(name) for name in names.split()]
    tuned = pure_hz(pitches, PitchName.from_text(root))
    return [
        ratio_to_cents(hz / tempered_hz(pitch)) for hz, pitch in zip(tuned, pitches, strict=True)
    ]


def test_a_major_chord_is_four_to_five_to_six() -> None:
    low, third, fifth = pure_hz([Pitch.from_text(n) for n in ("F3", "A3", "C4")], PitchName("F"))
    assert third / low == pytest.approx(5 / 4)
    assert fifth / low == pytest.approx(3 / 2)


def test_the_root_stays_tempered_in_any_octave_and_inversion() -> None:
    assert _cents_off("E3 G3 C4 C5", "C") == pytest.approx([-13.686, 1.955, 0.0, 0.0], abs=0.001)


def test_spelling_chooses_the_pure_interval() -> None:
    sharp, flat = _cents_off("G#4", "C"), _cents_off("Ab4", "C")
    assert sharp[0] == pytest.approx(-27.373, abs=0.001)  # 25/16
    assert flat[0] == pytest.approx(13.686, abs=0.001)  # 8/5


def test_an_interval_without_a_ratio_stays_tempered() -> None:
    assert _cents_off("Fbb4", "C") == [0.0]


def test_a_ratio_below_one_is_no_interval_upward() -> None:
    with pytest.raises(HarmonyError, match="must not be below 1"):
        JustInterval("fault", just_intervals()[0].ratio / 2)
