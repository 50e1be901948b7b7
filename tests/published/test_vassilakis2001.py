"""Vassilakis 2001 (dissertation, UCLA), roughness of mistuned dyads, pp. 208-210.

Published values as printed in the tests of an open R package; they agree with
the model in rank and ratio, not in scale. Model values by other code:
tables/02a_roughness.csv.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from harmony.acoustics.roughness import vassilakis
from harmony.units import midi_to_hz
from tests.published.rows import read_inputs, read_numbers, select_rows

PRINTED = select_rows("02a_roughness", "Vassilakis 2001 p.210")
MODEL = select_rows("02a_roughness", "Vassilakis model value")
CORRELATION = select_rows("02a_roughness", "Vassilakis: correlation")
TEMPERED = select_rows("02a_roughness", "Vassilakis roughness of ET dyad")
NAMES = ("P1", "m2", "M2", "m3", "M3", "P4", "TT", "P5", "m6", "M6", "m7", "M7", "P8")
LEVELS = np.tile(1.0 / np.arange(1, 7), 2)


def _printed_dyad(row: dict[str, str]) -> float:
    given = next(
        one for one in PRINTED if read_inputs(one)["interval"] == read_inputs(row)["interval"]
    )
    lower, upper = (part for part in given["inputs"].split(";") if part.endswith("]"))
    return vassilakis(read_numbers(lower) + read_numbers(upper), LEVELS)


@pytest.mark.parametrize("row", MODEL, ids=lambda row: row["inputs"])
def test_model_value(row: dict[str, str]) -> None:
    assert _printed_dyad(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_ranking_as_printed_but_for_near_ties() -> None:
    printed = np.array([float(row["expected"]) for row in PRINTED])
    ours = np.array([_printed_dyad(row) for row in PRINTED])
    ranks = [np.argsort(np.argsort(values)) for values in (printed, ours)]
    assert np.corrcoef(*ranks)[0, 1] > 0.98


def test_ratios_to_the_minor_second_correlate_as_stated() -> None:
    printed = np.array([float(row["expected"]) for row in PRINTED])
    ours = np.array([_printed_dyad(row) for row in PRINTED])
    correlation = np.corrcoef(printed[0] / printed[1:], ours[0] / ours[1:])[0, 1]
    assert correlation >= read_numbers(CORRELATION[0]["expected"])[0]


@pytest.mark.parametrize("row", TEMPERED, ids=lambda row: row["inputs"])
def test_tempered_dyad(row: dict[str, str]) -> None:
    name = re.match(r"C4\+(\w+)", row["inputs"])
    assert name is not None
    numbers = np.arange(1, 7)
    upper = midi_to_hz(60 + NAMES.index(name[1]))
    frequencies = np.concatenate((midi_to_hz(60) * numbers, upper * numbers))
    found = vassilakis(frequencies, LEVELS)
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
