"""Euler 1739, Tentamen novae theoriae musicae: degrees of agreeableness.

Whole numbers from OEIS A275314; intervals and chords by the rule, the triads
also seen in print: tables/02b_harmonicity.csv.
"""

from __future__ import annotations

import pytest

from harmony.acoustics.ratio import euler_gradus
from tests.published.rows import read_inputs, select_rows

ROWS = select_rows("02b_harmonicity", "Euler gradus")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["quantity"] + row["inputs"])
def test_gradus(row: dict[str, str]) -> None:
    given = read_inputs(row)
    numbers = (
        [1, int(given["n"])]
        if "n" in given
        else [int(n) for n in row["inputs"].split(";")[1].split(":")]
    )
    assert euler_gradus(*numbers) == int(row["expected"])


def test_the_same_proportion_in_other_numbers() -> None:
    assert euler_gradus(8, 10, 12) == euler_gradus(4, 5, 6)
