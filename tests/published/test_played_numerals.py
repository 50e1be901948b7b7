"""Chords of textbooks, played without their names, come back with them.

Each row of tables/05a_roman_numerals.csv (sources in its own column: Kostka and Payne; Aldwell
and Schachter; Tymoczko et al. 2019) is played as bare MIDI numbers in its key, the bass lowest.
A diminished seventh or a dominant that is also an augmented sixth can be meant in several ways,
so that no reader of the sound alone can always be right: those must be reached by respelling.
"""

from __future__ import annotations

from collections import Counter

import pytest

from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName
from harmony.workbench.entering.reading import read_played
from tests.published.rows import read_table

ROWS = read_table("05a_roman_numerals")
#: Of 876 rows 843 have their own names at once.
LEAST_AT_ONCE = 0.96
MOST_TURNS = 2
#: Kinds without a second meaning: every row is right at once.
PLAIN = (
    "diatonic", "minor 6/7", "Neapolitan", "cadential 6/4", "chromatic mediant", "suspension",
    "added tone", "omitted tone", "altered dominant",
)  # fmt: skip


def turns_needed(row: dict[str, str]) -> int | None:
    """Give how often the chord must be respelled until it has the row's names."""
    names = {PitchName.from_text(name) for name in row["expected"].split()}
    bass = PitchName.from_text(row["bass"])
    lowest = 48 + bass.pitch_class
    upper = [lowest + (name.pitch_class - lowest) % 12 for name in names if name != bass]
    found = read_played([lowest, *upper], Key.from_text(row["key"]))
    for turn, meaning in enumerate(found):
        if {pitch.name for pitch in meaning.pitches} == names:
            return turn
    return None


TURNS = [(row, turns_needed(row)) for row in ROWS]


def test_nearly_all_have_their_names_at_once() -> None:
    at_once = sum(turns == 0 for _, turns in TURNS)
    assert len(TURNS) > 800
    assert at_once >= LEAST_AT_ONCE * len(TURNS)


def test_all_others_are_reached_by_respelling() -> None:
    late = [
        (row["symbol"], row["key"], turns)
        for row, turns in TURNS
        if turns is None or turns > MOST_TURNS
    ]
    assert late == []


@pytest.mark.parametrize("category", PLAIN)
def test_what_has_one_meaning_is_right_at_once(category: str) -> None:
    counts = Counter(turns for row, turns in TURNS if row["category"] == category)
    assert set(counts) == {0}, counts
