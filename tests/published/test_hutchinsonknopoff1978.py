"""Hutchinson and Knopoff 1978, "The acoustic component of Western consonance", Interface 7.

The formula with Mashinter's (2006) curve. Anchors are test values of an open R
package (dycon, Harrison 2018); dyads and chords were computed by other code:
tables/02a_roughness.csv. Eleven partials of amplitude 1/n.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from harmony.acoustics.band import hutchinson_knopoff_bandwidth_hz
from harmony.acoustics.roughness import hutchinson_knopoff, plomp_levelt_curve
from harmony.units import midi_to_hz
from tests.published.rows import read_inputs, read_numbers, select_rows

CURVE = select_rows("02a_roughness", "H&K/Mashinter g(y)")
BANDS = select_rows("02a_roughness", "H&K critical bandwidth")
CHORDS = select_rows(
    "02a_roughness",
    "H&K roughness (anchor)",
    "H&K roughness of ET dyad",
    "H&K roughness of ET chord",
)


def roughness_of(midi: list[float], partials: int) -> float:
    numbers = np.arange(1, partials + 1)
    frequencies = np.outer([midi_to_hz(note) for note in midi], numbers)
    return hutchinson_knopoff(frequencies, np.broadcast_to(1.0 / numbers, frequencies.shape))


@pytest.mark.parametrize("row", CURVE, ids=lambda row: row["inputs"])
def test_curve(row: dict[str, str]) -> None:
    given = read_inputs(row)
    cutoff = math.inf if given["cutoff"] == "None" else float(given["cutoff"])
    found = float(plomp_levelt_curve(float(given["y"]), cutoff_bands=cutoff))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", BANDS, ids=lambda row: row["inputs"])
def test_bandwidth(row: dict[str, str]) -> None:
    given = read_inputs(row)
    if "fmean" in given:
        mean = float(given["fmean"])
    else:
        mean = (float(given["f1"]) + float(given["f2"])) / 2.0
    found = float(hutchinson_knopoff_bandwidth_hz(mean))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", CHORDS, ids=lambda row: row["inputs"])
def test_chord(row: dict[str, str]) -> None:
    given = read_inputs(row)
    found = roughness_of(read_numbers(given["midi"]), int(given["partials"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_order_of_partials_does_not_matter_and_silence_is_smooth() -> None:
    frequencies, amplitudes = [440.0, 466.0, 500.0], [1.0, 0.5, 0.2]
    turned = hutchinson_knopoff(frequencies[::-1], amplitudes[::-1])
    assert turned == pytest.approx(hutchinson_knopoff(frequencies, amplitudes))
    assert hutchinson_knopoff(frequencies, [0.0, 0.0, 0.0]) == 0.0
    assert hutchinson_knopoff([440.0], [1.0]) == 0.0


def test_louder_altogether_is_not_rougher() -> None:
    assert hutchinson_knopoff([440, 466], [3, 3]) == pytest.approx(
        hutchinson_knopoff([440, 466], [1, 1])
    )
