"""Input from anywhere: let in, or refused in one sentence; never anything else.

What a search once found is a case here for good; ``make sweep`` goes on looking.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from tests.sweep.doors import doors
from tests.sweep.searching import meet, search

CASES = sorted(Path(__file__).with_name("cases").glob("*.input"))
DOORS = (
    "musicxml",
    "mxl",
    "midi",
    "abc",
    "kern",
    "romantext",
    "harte",
    "progression",
    "numeral",
    "symbol",
    "figures",
    "key",
    "meter",
    "pin",
    "register",
    "fixed",
    "bars",
    "operation",
    "notes",
    "ensemble",
    "ensemble_file",
    "keep",
    "name_of_a_keep",
    "name_of_a_chord",
    "typed_tune",
    "repeat",
)
SWEEP_SECONDS = 60


def test_every_door_is_searched() -> None:
    assert set(doors()) == set(DOORS)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_was_once_found_is_met_well(case: Path) -> None:
    door = case.name.rsplit("-", 1)[0]
    assert meet(doors()[door], case.read_bytes()) is None


@pytest.mark.parametrize("name", DOORS)
def test_good_input_is_let_in_and_a_little_spoilt_input_met_well(name: str) -> None:
    assert any(_is_let_in(name, good) for good in doors()[name].good)
    assert list(search(doors()[name], seed=3, most=8)) == []


def _is_let_in(name: str, data: bytes) -> bool:
    try:
        doors()[name].enter(data)
    except HarmonyError:
        return False
    return True


@pytest.mark.sweep
@pytest.mark.parametrize("name", DOORS)
def test_spoilt_input_is_met_well(name: str) -> None:
    found = list(search(doors()[name], seed=time.time_ns(), seconds=SWEEP_SECONDS))
    assert not found, "\n".join(f"{one.place}: {one.data[:200]!r}" for one in found)
