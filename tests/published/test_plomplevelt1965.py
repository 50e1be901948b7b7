"""Plomp and Levelt 1965, "Tonal consonance and critical bandwidth", JASA 38:548-560.

From the abstract (tables/02a_roughness.csv): simple tones are roughest about a
quarter of the critical bandwidth apart, and consonant beyond one bandwidth.
"""

from __future__ import annotations

import numpy as np
import pytest

from harmony.acoustics.band import critical_bandwidth_hz
from harmony.acoustics.roughness import plomp_levelt, plomp_levelt_curve
from tests.published.rows import select_rows

ROWS = select_rows("02a_roughness", "Plomp-Levelt")


def test_greatest_roughness_at_a_quarter_of_the_band() -> None:
    bands = np.linspace(0.0, 1.2, 12001)
    assert bands[np.argmax(plomp_levelt_curve(bands))] == pytest.approx(0.25, abs=0.03)


def test_no_more_than_a_trace_beyond_one_band() -> None:
    assert plomp_levelt_curve([1.0, 1.1, 1.19]).max() < 0.05
    assert plomp_levelt_curve(1.21) == 0.0


def test_two_simple_tones_by_their_own_measure() -> None:
    middle = 1000.0
    width = float(critical_bandwidth_hz(middle))
    apart = [0.05, 0.25, 1.0, 2.0]
    heard = [plomp_levelt([middle - y * width / 2, middle + y * width / 2], [1, 1]) for y in apart]
    assert int(np.argmax(heard)) == 1
    assert heard[3] == 0.0


def test_table_has_the_two_findings() -> None:
    assert [row["expected"] for row in ROWS] == ["about 0.25", "1"]
