"""Meters, beats, and the map from bars to time."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.errors import HarmonyError
from harmony.pitch.meter import Meter, MeterMap

PICKUP = MeterMap(((1, Meter.from_text("3/4")), (3, Meter.from_text("6/8"))), Fraction(1))


@pytest.mark.parametrize(
    ("text", "quarters", "beats"),
    [
        ("4/4", 4, 4),
        ("3/4", 3, 3),
        ("6/8", 3, 2),
        ("9/8", Fraction(9, 2), 3),
        ("3+2/8", Fraction(5, 2), 2),
        ("2/2", 4, 2),
        ("C", 4, 4),
        ("C|", 4, 2),
        ("5/4", 5, 5),
        ("3/8", Fraction(3, 2), 3),
    ],
)
def test_bars_and_beats(text: str, quarters: Fraction, beats: int) -> None:
    meter = Meter.from_text(text)
    assert meter.bar_quarters == quarters
    assert len(meter.beats_quarters) == beats
    assert meter == Meter(meter.groups, meter.unit)


@pytest.mark.parametrize("text", ["", "4", "4/5", "0/4", "4/0", "99/4", "x/4", "4/4/4"])
def test_what_is_no_meter_is_told(text: str) -> None:
    with pytest.raises(HarmonyError):
        Meter.from_text(text)


def test_beats_outside_the_bar_are_told() -> None:
    with pytest.raises(HarmonyError, match="6/8 has beats 1 to 2; 3 is not among them"):
        Meter.from_text("6/8").beat_to_quarters(Fraction(3))


def test_strong_places() -> None:
    common = Meter.from_text("4/4")
    places = (0, 1, 2, Fraction(1, 2), Fraction(1, 3))
    assert [common.weight(Fraction(q)) for q in places] == [4, 2, 3, 1, 0]
    assert Meter.from_text("6/8").weight(Fraction(1, 2)) == 1


def test_a_map_places_bars_in_time() -> None:
    assert [PICKUP.bar_start(bar) for bar in range(6)] == [0, 1, 4, 7, 10, 13]
    assert PICKUP.first_bar == 0
    assert PICKUP.offset(0, Fraction(3)) == 0
    assert PICKUP.locate(Fraction(0)) == (0, 3)
    assert PICKUP.locate(Fraction(17, 2)) == (3, 2)
    assert list(PICKUP.bars_through(Fraction(7))) == [0, 1, 2]
    assert list(PICKUP.bars_through(Fraction(8))) == [0, 1, 2, 3]
    assert PICKUP.bar_length(0) == 1
    assert PICKUP.weight(Fraction(0)) == 2
    assert PICKUP.weight(Fraction(1)) == 4


def test_maps_check_themselves() -> None:
    three = Meter.from_text("3/4")
    for changes, pickup in (
        ((), 0),
        (((2, three),), 0),
        (((1, three), (1, three)), 0),
        (((1, three),), 4),
    ):
        with pytest.raises(HarmonyError):
            MeterMap(changes, Fraction(pickup))
    with pytest.raises(HarmonyError, match="does not reach back"):
        PICKUP.offset(0, Fraction(1))
    assert MeterMap.steady("3/4").first_bar == 1
