"""Files of Harte labels with their times."""

from __future__ import annotations

import pytest

from harmony.chords.api import parse
from harmony.errors import TextError

FILE = "0.000 1.5 N\n1.5\t4.0 D:maj7/3\n4.0 9.25 A:7(b9)\n10.0 11.0 C/5\n"


def test_seconds_become_quarters() -> None:
    progression = parse(FILE)
    assert [(float(s.onset), float(s.duration), s.figure) for s in progression] == [
        (0, 1.5, "N.C."), (1.5, 2.5, "D:maj7/3"), (4, 5.25, "A:7(b9)"), (9.25, 0.75, "N.C."),
        (10, 1, "C:maj/5"), (11, 1, "N.C."),
    ]  # fmt: skip
    assert progression.slots[1].sounding == ("F#", "D", "A", "C#")
    assert progression.slots[4].sounding == ("G", "C", "E")
    assert parse(str(progression)) == progression


def test_labels_one_a_line_are_bars() -> None:
    assert [s.bar for s in parse("D:maj\nN\nG:7/3\n")] == [1, 2, 3]


@pytest.mark.parametrize(
    ("text", "message", "where"),
    [
        ("0 1 C:maj\n1 2 C:mxj\n", "Line 2: 'C:mxj' is not a Harte label", "line 2"),
        ("0 2 C:maj\n1 3 C:maj\n", "times of line 2 do not follow", "line 2"),
        ("0 0 C:maj\n", "no label that lasts", "line 1"),
        ("0 2 C:maj\nx\n", "Line 2 is not a label", "line 2"),
    ],
)
def test_faults_name_their_line(text: str, message: str, where: str) -> None:
    with pytest.raises(TextError) as caught:
        parse(text)
    assert message in caught.value.message
    assert caught.value.where == where
