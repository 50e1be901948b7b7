"""Lines of a kern file are as wide as its spines; what cannot be read is told."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.reading.kern import check_kern
from harmony.reading.opening import read_bytes

GOOD = "!!!OTL: x\n**kern\t**kern\n*^\t*\n4c\t4e\t4g\n*v\t*v\t*\n4c\t4g\n*-\t*-\n"


def test_spines_that_split_and_join_are_followed() -> None:
    check_kern(GOOD, name="t.krn")


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (GOOD.replace("4c\t4g\n", "4c\n"), "Line 6 of t.krn has one column where 2 columns are"),
        (GOOD.replace("4c\t4e\t4g", "4c\t4g"), "Line 4 of t.krn has 2 columns where 3 columns are"),
        (
            GOOD.replace("*^\t*\n", "*M65536/4\t*M3/4\n*^\t*\n"),
            "The meter 65536/4 in line 3 of t.krn is none; such as *M3/4",
        ),
        ("4c\t4g\n", "Line 1 of t.krn stands before any spine"),
    ],
)
def test_a_line_too_narrow_is_told(bad: str, said: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        check_kern(bad, name="t.krn")
    assert caught.value.message.startswith(said)


def test_what_the_parser_leaves_out_is_listed() -> None:
    score = read_bytes(
        b"**kern\n*clefG2\n*k[]\n*M2/4\n=1\n4c\n4H\n=2\n4d\n4e\n==\n*-\n", name="t.krn"
    )
    assert any("4H" in loss for loss in score.losses)
