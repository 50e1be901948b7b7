"""Bowling, Purves and Gill 2018, PNAS 115(1): mean ratings of the twelve just dyads.

Roughness by Hutchinson and Knopoff must fall as rated consonance rises. The
table (tables/02b_harmonicity.csv) gives -0.818 for eleven partials; with the
sixteen this workbench uses, -0.82 or stronger.
"""

from __future__ import annotations

import numpy as np
import pytest

from harmony.acoustics.roughness import hutchinson_knopoff
from tests.published.rows import read_numbers, select_rows

RATINGS = select_rows("02b_harmonicity", "mean consonance rating of just dyad")
CORRELATION = select_rows("02b_harmonicity", "Pearson correlation: H&K roughness")


def correlate_roughness(partials: int) -> float:
    """Correlate rated consonance with roughness, tones of so many partials."""
    numbers = np.arange(1, partials + 1)
    heard = []
    for row in RATINGS:
        tones = read_numbers(row["inputs"].split("f=")[1])
        heard.append(hutchinson_knopoff(np.outer(tones, numbers), np.tile(1.0 / numbers, (2, 1))))
    rated = [float(row["expected"]) for row in RATINGS]
    return float(np.corrcoef(heard, rated)[0, 1])


def test_eleven_partials_as_stated() -> None:
    assert len(RATINGS) == 12
    row = CORRELATION[0]
    assert correlate_roughness(11) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def test_sixteen_partials() -> None:
    assert correlate_roughness(16) <= -0.82
