"""How lengths are written: against what notation handbooks show (common practice)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmony.errors import HarmonyError
from harmony.pitch import Meter
from harmony.scoring.event import Tuplet
from harmony.scoring.layout import beam_ends
from harmony.scoring.value import VALUES, divide

METERS = ("4/4", "3/4", "2/2", "6/8", "9/8", "12/8", "3/8", "5/8", "5/4", "3+2/8", "7/16")


def written(meter: str, start: str, duration: str) -> list[str]:
    pieces = divide(Meter.from_text(meter), Fraction(start), Fraction(duration))
    return [
        piece.value + "." * piece.dots + (f"/{piece.tuplet.actual}" if piece.tuplet else "")
        for piece in pieces
    ]


@pytest.mark.parametrize(
    ("meter", "start", "duration", "expected"),
    [
        ("4/4", "0", "4", ["whole"]),
        ("4/4", "1/2", "1", ["quarter"]),  # a plain syncopation
        ("4/4", "3/2", "1", ["eighth", "eighth"]),  # the half bar is shown
        ("4/4", "1", "2", ["half"]),
        ("4/4", "1/2", "7/2", ["quarter.", "half"]),
        ("3/4", "1/2", "2", ["quarter.", "eighth"]),
        ("6/8", "0", "3", ["half."]),
        ("6/8", "0", "2", ["quarter.", "eighth"]),  # dotted beats are shown
        ("6/8", "1", "1", ["eighth", "eighth"]),
        ("5/4", "0", "5", ["half.", "half"]),
        ("4/4", "0", "1/3", ["eighth/3"]),
        ("4/4", "2/3", "2/3", ["quarter/3"]),  # three quarters in the time of two
        ("4/4", "1/3", "1", ["quarter/3", "eighth/3"]),
        ("4/4", "1/5", "3/5", ["eighth./5"]),
        ("2/2", "0", "1/256", None),
    ],
)
def test_lengths_are_written_as_players_read_them(
    meter: str, start: str, duration: str, expected: list[str] | None
) -> None:
    if expected is None:
        with pytest.raises(HarmonyError, match="no note value"):
            written(meter, start, duration)
    else:
        assert written(meter, start, duration) == expected


@given(st.sampled_from(METERS), st.data())
def test_pieces_fill_the_length_exactly_and_each_is_a_note_value(
    meter_text: str, data: st.DataObject
) -> None:
    meter = Meter.from_text(meter_text)
    grid = data.draw(st.sampled_from((1, 2, 4, 8, 3, 6, 5, 12)))
    last = int(meter.bar_quarters * grid) - 1
    start = Fraction(data.draw(st.integers(0, max(last - 1, 0))), grid)
    room = int((meter.bar_quarters - start) * grid)
    duration = Fraction(data.draw(st.integers(1, max(room, 1))), grid)
    pieces = divide(meter, start, duration)
    place = start
    for piece in pieces:
        assert piece.offset == place
        plain = VALUES[piece.value] * (2 - Fraction(1, 2**piece.dots))
        ratio = Fraction(piece.tuplet.normal, piece.tuplet.actual) if piece.tuplet else 1
        assert piece.duration == plain * ratio
        place += piece.duration
    assert place == start + duration


def test_a_ratio_that_the_composer_chose_is_kept() -> None:
    pieces = divide(Meter.from_text("6/8"), Fraction(0), Fraction(3, 4), Tuplet(2, 3))
    assert [(p.value, p.dots) for p in pieces] == [("eighth", 0)]


@pytest.mark.parametrize(
    ("meter", "ends"),
    [
        ("4/4", "1 2 3 4"),
        ("6/8", "3/2 3"),
        ("3/8", "3/2"),
        ("5/8", "1 5/2"),
        ("3+2/8", "3/2 5/2"),
        ("7/8", "1 2 7/2"),
    ],
)
def test_beams_end_with_the_beats(meter: str, ends: str) -> None:
    assert beam_ends(Meter.from_text(meter)) == tuple(Fraction(end) for end in ends.split())
