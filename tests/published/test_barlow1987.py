"""Barlow 1987, Computer Music Journal 11(1):44-60: indigestibility and harmonicity.

Primes and three harmonicities as printed with a library; the rest by the
formula: tables/02b_harmonicity.csv. The sign is recalled, so it only warns.
"""

from __future__ import annotations

import warnings
from fractions import Fraction

import pytest

from harmony.acoustics.ratio import barlow_harmonicity, barlow_indigestibility, barlow_polarity
from tests.published.rows import read_inputs, select_rows

INDIGESTIBILITY = select_rows("02b_harmonicity", "Barlow indigestibility")
HARMONICITY = select_rows("02b_harmonicity", "Barlow harmonicity magnitude")
SIGNED = select_rows("02b_harmonicity", "Barlow signed harmonicity")


@pytest.mark.parametrize("row", INDIGESTIBILITY, ids=lambda row: row["inputs"])
def test_indigestibility(row: dict[str, str]) -> None:
    found = barlow_indigestibility(int(read_inputs(row)["N"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", HARMONICITY, ids=lambda row: row["inputs"])
def test_harmonicity(row: dict[str, str]) -> None:
    below, above = row["inputs"].split(";")[1].split(":")
    found = barlow_harmonicity(Fraction(int(above), int(below)))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_size_of_the_signed_values_and_sign_as_recalled() -> None:
    turned = []
    for row in SIGNED:
        below, above = row["inputs"].split(":")
        ratio = Fraction(int(above), int(below))
        found = barlow_harmonicity(ratio)
        assert found == pytest.approx(abs(float(row["expected"])), abs=1e-6)
        if found * barlow_polarity(ratio) * float(row["expected"]) < 0:
            turned.append(row["inputs"])
    if turned:
        warnings.warn(f"the sign differs from the recalled one at {turned}", stacklevel=1)
