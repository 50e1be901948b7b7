"""Cadences asked for by phrase are there; what cannot be asked for is told."""

from __future__ import annotations

import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.cadences import find_cadences
from harmony.resources import find_corpora


@pytest.fixture(scope="module")
def theme():
    return harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))


@pytest.mark.parametrize("idiom", ["common-practice", "romantic"])
@pytest.mark.parametrize("kind", ["full", "half", "evaded", "plagal"])
def test_what_is_asked_for_is_there(theme, idiom, kind):
    found = harmony.harmonise(
        theme, idioms=(idiom,), count=3, cadences=(kind, None, None, "full")
    )  # fmt: skip
    for one in found.alternatives:
        closes = find_cadences(one, found.melody)
        assert [close.phrase for close in closes] == [1, 2, 3, 4]
        assert (closes[0].kind, closes[-1].kind) == (kind, "full")


def test_an_elision_brings_the_tonic_with_the_next_phrase(theme):
    found = harmony.harmonise(theme, count=2, cadences=(None, "elided", None, None))
    for one in found.alternatives:
        assert find_cadences(one, found.melody)[1].kind == "elided"


@pytest.mark.parametrize(
    ("idiom", "cadences", "words"),
    [
        ("common-practice", ("half",), "1 cadences are asked for and the tune has 4 phrases"),
        ("common-practice", ("half", None, None, "grand"), "'grand' is no cadence"),
        ("common-practice", (None, None, None, "elided"), "no other to elide into"),
        ("common-practice", ("elided", None, None, None), "no room for an elided cadence in bar 4"),
        ("quartal", ("half", None, None, None), "closes by other means"),
        ("extended", ("half", None, None, None), "no room for a half cadence in bar 4"),
    ],
)
def test_what_cannot_be_asked_for_is_told(theme, idiom, cadences, words):
    with pytest.raises(HarmonyError) as refused:
        harmony.harmonise(theme, idioms=(idiom,), cadences=cadences)
    assert words in refused.value.message
