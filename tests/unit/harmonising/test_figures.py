"""Chords named by numerals, by symbols, or as the idiom has it: the same chords."""

from __future__ import annotations

import pytest

import harmony
from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.harmonising.figures import AS_IDIOM, NUMERALS, SYMBOLS, name_chords
from harmony.harmonising.idiom import IDIOMS
from harmony.resources import find_corpora
from harmony.scoring.build import is_numeral


@pytest.fixture(scope="module")
def theme():
    return harmony.open_theme(find_corpora("loom_hall", "shuttle.abc"))


@pytest.mark.parametrize("figures", [NUMERALS, SYMBOLS])
@pytest.mark.parametrize("idiom", [name for name in IDIOMS if name != "own"])
def test_named_otherwise_every_chord_reads_as_the_same_chord(theme, idiom, figures):
    found = harmony.harmonise(theme, idioms=(idiom,), count=2)
    named = name_chords(found, figures)
    for one, other in zip(found.alternatives, named.alternatives, strict=True):
        for slot, again in zip(one.progression, other.progression, strict=True):
            assert (again.onset, again.key) == (slot.onset, slot.key)
            read = parse(again.figure, key=slot.key or found.melody.key).slots[0].chord
            assert read.bass.pitch_class == slot.chord.bass.pitch_class
            assert set(read.pitch_classes) == set(slot.chord.pitch_classes)
            if figures == SYMBOLS:
                assert not is_numeral(again.figure)
    assert named.alternative(1).cost == found.alternative(1).cost


def test_common_practice_is_named_in_numerals_extended_harmony_in_symbols(theme):
    for idiom, usual in (("common-practice", NUMERALS), ("extended", SYMBOLS)):
        found = harmony.harmonise(theme, idioms=(idiom,), count=1)
        figures = [slot.figure for slot in name_chords(found, AS_IDIOM).alternative(1).progression]
        same = name_chords(found, usual).alternative(1).progression
        assert figures == [slot.figure for slot in same]


def test_another_way_to_name_chords_is_refused(theme):
    found = harmony.harmonise(theme, count=1)
    with pytest.raises(HarmonyError, match=r"^'letters' is no way to name chords; idiom, numerals"):
        name_chords(found, "letters")
