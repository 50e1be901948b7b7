"""Numbers no music has are refused in ABC before they cost hours."""

from __future__ import annotations

import pytest

from harmony.errors import HarmonyError
from harmony.reading.abc import check_abc


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("M:65536/4", "The meter 65536/4 in line 2 of t.abc is none; such as 3/4"),
        ("M:3/0", "The meter 3/0 in line 2"),
        ("c [M:999/4] d", "The meter 999/4 in line 2"),
        ("L:-1/4", "The note length -1/4 in line 2"),
        ("L:1/0", "The note length 1/0 in line 2"),
        ("A2 z99999 |", "99999 in line 2 of t.abc is no length of a note or rest"),
        ("A2 Ж |", "'Ж' in line 2 of t.abc is no note"),
        ("A2 B308 | c2 |", "A bar in line 2 of t.abc has 2 notes, 155 quarters in all; up to"),
        ("A2 | " + "c/" * 101 + " | c |", "A bar in line 2 of t.abc has 101 notes, 25.25"),
        ("A2 | " + "c8" * 20 + "\n" + "d" * 10 + " | c |", "A bar in line 3 of t.abc has 30 notes"),
    ],
)
def test_what_no_music_has_is_told(line: str, said: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        check_abc(f"X:1\n{line}\nK:C\n", name="t.abc")
    assert caught.value.message.startswith(said)


def test_long_music_without_bar_lines_and_full_bars_are_let_in() -> None:
    check_abc(f"X:1\nM:none\nL:1/8\nK:C\n{'CDEF' * 100}|]\n", name="t.abc")
    check_abc(
        f"X:1\nM:4/4\nL:1/32\nK:C\n|: {'[CEG]' * 32} :|\nZ99 | {'c' * 96} | c |]\n",
        name="t.abc",
    )


def test_words_and_remarks_may_hold_anything() -> None:
    check_abc('X:1\nT:Ж 12345\nM:12/8\nL:1/8\nK:C\n"Ж 9999"c3 !x1234! d3 % 99999\n', name="t.abc")
