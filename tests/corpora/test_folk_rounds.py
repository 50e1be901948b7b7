"""Rounds of the Essen collection (music21 corpus), found from their tunes.

Each is named a canon there and printed a line for every entry; so many voices sing it
as it has lines, each a line after the one before.
"""

from __future__ import annotations

import re
import warnings
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.pitch import Theme
from harmony.reading.opening import read_bytes
from harmony.reading.theme import score_to_theme
from harmony.themes.canon import find_canons
from harmony.themes.stretto import find_strettos

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import music21

BOOK = Path(music21.__file__).parent / "corpus" / "essenFolksong" / "fink0.abc"


def open_round(number: int) -> Theme:
    tunes = re.split(r"(?m)^(?=X:)", BOOK.read_text(encoding="latin-1"))
    (tune,) = (one for one in tunes if one.startswith(f"X:{number}\n"))
    assert "Kanon" in tune
    return score_to_theme(read_bytes(tune.encode(), name="a round.abc"))


@pytest.mark.parametrize(
    ("number", "voices", "bars", "bar_quarters"),
    [(101, 3, 6, 3), (198, 4, 2, 4)],
    ids=["O wie wohl ist mir am Abend", "Lorenz, Lorenz, Lorenz"],
)
def test_a_round_is_found_in_two_and_in_all_its_voices(
    number: int, voices: int, bars: int, bar_quarters: int
) -> None:
    theme, line = open_round(number), Fraction(bars * bar_quarters)
    first = next(c for c in find_canons(theme).canons if c.cell.motion == "direct")
    assert (first.rank_in_motion, first.direction, first.cell.delay) == (1, "unison", line)
    best = find_strettos(theme, voices)[0]
    assert best.entries == tuple((0, line * place) for place in range(1, voices))
    assert best.faults() == ()


def test_a_canon_that_only_shadows_the_tunes_own_repeat_does_not_come_first() -> None:
    # Quando conveniunt says its four bars twice: after them an answer at any interval
    # goes along with the tune note for note
    theme = open_round(197)
    notes = [(note.onset, note.pitch) for note in theme.line.sounding]
    half = len(notes) // 2
    assert notes[half:] == [(onset + 16, pitch) for onset, pitch in notes[:half]]
    best = [c for c in find_canons(theme).canons if c.cell.motion == "direct"]
    assert all(c.cell.delay != 16 for c in best if c.rank_in_motion <= 3)
