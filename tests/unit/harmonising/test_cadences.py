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


@pytest.mark.parametrize(
    ("fixed", "words"),
    [
        ("4.3=vi6", "'4.3=vi6' fixes a chord that the cadence"),
        ("4=vi", "or a chord fixed there, leaves no room for a half cadence in bar 4 beat 1"),
    ],
)
def test_a_chord_fixed_where_a_cadence_excludes_it_is_told(theme, fixed, words):
    harmony.harmonise(theme, fixed=(fixed,), count=1)
    with pytest.raises(HarmonyError) as refused:
        harmony.harmonise(theme, fixed=(fixed,), cadences=("half", None, None, None))
    assert words in refused.value.message


def test_a_chord_fixed_where_a_cadence_admits_it_stands(theme):
    found = harmony.harmonise(theme, fixed=("4=V",), cadences=("half", None, None, None), count=2)
    for one in found.alternatives:
        assert find_cadences(one, found.melody)[0].figures[1] == "V"
