"""Figured bass against the check table of the trade's abbreviations (05c).

Source of the expected notes: the figured-bass abbreviations named in the table's
source column, confirmed by music21 10.5.1 where its column says so.
"""

from __future__ import annotations

import pytest

from harmony.chords.figuredbass import realise_figures, realise_stages
from harmony.errors import TextError
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName
from tests.published.rows import read_table

ROWS = read_table("05c_figured_bass")
STAGES = [row for row in ROWS if "suspension" in row["quantity"]]
PLAIN = [row for row in ROWS if "suspension" not in row["quantity"]]


def _key(row: dict[str, str]) -> Key:
    return Key(PitchName.from_text(row["key"]), row["mode"])


def test_the_table_is_whole() -> None:
    assert (len(PLAIN), len(STAGES)) == (101, 12)


@pytest.mark.parametrize("row", PLAIN, ids=lambda row: row["id"])
def test_figures_give_the_notes_of_the_table(row: dict[str, str]) -> None:
    names = realise_figures(PitchName.from_text(row["bass"]), row["figures"], _key(row))
    expected = row["expected"].split()
    assert str(names[0]) == expected[0]
    assert sorted(str(name) for name in names) == sorted(expected)


@pytest.mark.parametrize("row", STAGES, ids=lambda row: row["id"])
def test_suspensions_resolve_as_in_the_table(row: dict[str, str]) -> None:
    figures = row["figures"].split()[0]
    in_bass = figures == "2-3"  # the row writes the chord over bass C, then over bass B
    bass = PitchName.from_text("C" if in_bass else row["bass"])
    after = PitchName.from_text("B") if in_bass else None
    stages = realise_stages(bass, figures, _key(row), bass_after=after)
    expected = [stage.split("(")[0].split() for stage in row["expected"].split(">")]
    assert [sorted(map(str, stage)) for stage in stages] == [sorted(stage) for stage in expected]
    assert [str(stage[0]) for stage in stages] == [stage[0] for stage in expected]


def test_a_figure_that_is_none_is_marked() -> None:
    with pytest.raises(TextError) as caught:
        realise_figures(PitchName("C"), "6/q", Key.from_text("C"))
    assert caught.value.marked() == "6/q\n  ^"
