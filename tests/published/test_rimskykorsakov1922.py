"""Strengths against Rimsky-Korsakov's equivalences in forte.

Principles of Orchestration (English edition 1922), chapter I, comparison of
resonance, pp. 33-35: a trumpet equals a trombone, a tuba or two horns; a horn
equals two woodwind; a section of strings equals two woodwind. Table:
tables/06c_balance_sections.csv.
"""

from __future__ import annotations

from harmony.instruments.catalogue import instrument
from harmony.instruments.instrument import Player
from tests.published.rows import read_table


def _strength(name: str, count: int = 1) -> float:
    return Player(instrument(name), count).strength


def test_the_implied_table_of_weights() -> None:
    rows = read_table("06c_balance_sections")
    row = next(one for one in rows if "forte; flute = 1" in one["quantity"])
    names = row["inputs"].split()
    weights = [float(number) for number in row["expected"].split()]
    for name, weight in zip(names, weights, strict=True):
        ours = _strength("violin", 12) if name == "stringsection" else _strength(name)
        assert ours / _strength("flute") == weight, name


def test_equivalences() -> None:
    assert (
        _strength("trumpet") == _strength("trombone") == _strength("tuba") == _strength("horn", 2)
    )
    for woodwind in ("clarinet", "oboe", "flute", "bassoon"):
        assert _strength("horn") == _strength(woodwind, 2)
    assert _strength("viola", 8) == _strength("oboe") + _strength("clarinet")


def test_a_single_string_player_is_not_reckoned() -> None:
    assert _strength("violin") == 0.0
