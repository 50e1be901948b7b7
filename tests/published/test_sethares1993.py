"""Sethares 1993, "Local consonance and the relationship between timbre and scale", JASA 94.

Ratios printed with the author's own routine (first exponent 3.51, weight by the
smaller amplitude); the rest computed by other code from the published
formula: tables/02a_roughness.csv.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from harmony.acoustics.roughness import SETHARES_WIDTH, sethares, sethares_curve
from harmony.units import midi_to_hz
from tests.published.rows import read_inputs, read_numbers, select_rows

CURVE = select_rows("02a_roughness", "Sethares parametrised P-L curve")
ANCHORS = select_rows("02a_roughness", "Sethares dissonance ratio to (440,460)")
DIFFERENCES = select_rows("02a_roughness", "Sethares: frequency difference")
MINIMA = select_rows("02a_roughness", "Sethares dissonance curve: local minima")
JUST = select_rows("02a_roughness", "Sethares dissonance of just dyad")
TEMPERED = select_rows("02a_roughness", "Sethares dissonance of ET dyad")
NAMES = ("P1", "m2", "M2", "m3", "M3", "P4", "TT", "P5", "m6", "M6", "m7", "M7", "P8")


def _curve_over_x(x: np.ndarray) -> np.ndarray:
    # s d = x where the difference is x / s
    return sethares_curve(
        x * (SETHARES_WIDTH[1] * 440 + SETHARES_WIDTH[2]) / SETHARES_WIDTH[0], 440.0
    )


def test_place_and_height_of_the_greatest_roughness() -> None:
    x = np.linspace(0.22, 0.2215, 1_500_001)
    curve = _curve_over_x(x)
    place, height = CURVE
    assert x[np.argmax(curve)] == pytest.approx(
        float(place["expected"]), abs=float(place["tolerance"])
    )
    assert curve.max() == pytest.approx(float(height["expected"]), abs=float(height["tolerance"]))


@pytest.mark.parametrize("row", ANCHORS, ids=lambda row: row["inputs"])
def test_ratio_to_a_pair_of_tones(row: dict[str, str]) -> None:
    given = read_inputs(row)
    falls = (float(given["b1"]), 5.75)
    unit = sethares([440, 460], [1, 1], falls=falls)
    found = sethares(read_numbers(given["f"]), read_numbers(given["a"]), falls=falls) / unit
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", DIFFERENCES, ids=lambda row: row["inputs"])
def test_difference_of_greatest_roughness(row: dict[str, str]) -> None:
    lower = float(read_inputs(row)["fmin"])
    expected = float(row["expected"])
    apart = np.linspace(expected - 0.02, expected + 0.02, 40_001)
    found = apart[np.argmax(sethares_curve(apart, lower))]
    assert found == pytest.approx(expected, abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", MINIMA, ids=lambda row: row["inputs"])
def test_local_minima_of_the_curve(row: dict[str, str]) -> None:
    given = read_inputs(row)
    numbers = np.arange(1, int(given["partials"]) + 1)
    levels = np.tile(0.88 ** (numbers - 1), 2)
    ratios = np.arange(1.0, 2.1 + 1e-9, 0.0005)
    heard = np.array(
        [
            sethares(float(given["f0"]) * np.concatenate((numbers, numbers * ratio)), levels)
            for ratio in ratios
        ]
    )
    inside = (heard[1:-1] < heard[:-2]) & (heard[1:-1] < heard[2:])
    assert ratios[1:-1][inside] == pytest.approx(read_numbers(row["expected"]), abs=0.0005 + 1e-9)


def _dyad(lower: float, upper: float, partials: int, weigh: np.ufunc) -> float:
    numbers = np.arange(1, partials + 1)
    frequencies = np.concatenate((lower * numbers, upper * numbers))
    return sethares(frequencies, np.tile(1.0 / numbers, 2), weigh=weigh)


@pytest.mark.parametrize("row", JUST, ids=lambda row: row["inputs"])
def test_pure_dyad(row: dict[str, str]) -> None:
    given = read_inputs(row)
    weigh = np.minimum if given["A"] == "min" else np.multiply
    ratio = float(given["ratio"])
    # the table prints ratios to six places, the values were computed from whole numbers
    exact = round(ratio * 720) / 720 if abs(ratio * 720 - round(ratio * 720)) < 1e-3 else ratio
    lower = float(given["f0"])
    found = _dyad(lower, lower * exact, 6, weigh)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", TEMPERED, ids=lambda row: row["inputs"])
def test_tempered_dyad(row: dict[str, str]) -> None:
    name = re.match(r"C4\+(\w+)", row["inputs"])
    assert name is not None
    found = _dyad(midi_to_hz(60), midi_to_hz(60 + NAMES.index(name[1])), 6, np.minimum)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
