"""Searches for harmonisations tell how far they are, and end where nobody wants them."""

from __future__ import annotations

import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.again import less_like
from harmony.harmonising.progress import GivenUpError, HarmonisingProgress, told_to
from harmony.resources import find_corpora

TUNE = find_corpora("loom_hall", "lamps_out.abc")


def test_every_harmonisation_found_is_told() -> None:
    told: list[HarmonisingProgress] = []
    with told_to(lambda progress: bool(told.append(progress))):
        found = harmony.harmonise(TUNE, idioms=("modal",), count=2)
    assert told[0] == HarmonisingProgress(0, 2, "modal")
    assert {one.found for one in told} == {0, 1}
    count = len(told)
    less_like(found, 1, count=1)
    assert len(told) == count


def test_a_search_that_nobody_wants_ends() -> None:
    told: list[HarmonisingProgress] = []

    def stop(progress: HarmonisingProgress) -> bool:
        told.append(progress)
        return True

    with told_to(stop), pytest.raises(GivenUpError, match="given up") as fault:
        harmony.harmonise(TUNE)
    assert isinstance(fault.value, HarmonyError)
    assert len(told) == 1
