"""Minimal voice leadings between triads and between seventh chords.

Tables: 03a (24 x 24 triads), 03b (seventh chords by root difference), 03c
(neo-Riemannian operations, Cube Dance distances, printed anchors).  Size: the sum of
semitones moved, each voice the shorter way round (Cohn 1998, Journal of Music Theory
42:283; Tymoczko 2006, Science 313:72).  Here motion alone is paid, octaves are free and
any note may lie lowest.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from harmony.chords.api import parse
from harmony.instruments.catalogue import ensemble
from harmony.pitch.spelling import Pitch, PitchName
from harmony.voicings.api import prepare
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.rules import RuleSet, WholeChords
from tests.published.rows import read_table

MOTION_ONLY = dict.fromkeys(TERM_NAMES, 0) | {"motion": 1}
FREE = RuleSet(gaps=False, tendency_once=False, keeps_bass=False, own=(WholeChords(),))
SYMBOLS = {
    "dom7": "7",
    "min7": "m7",
    "maj7": "maj7",
    "hd7": "m7b5",
    "hdim7": "m7b5",
    "dim7": "dim7",
}
TRIADS = read_table("03a_triad_voice_leading_24x24")
SEVENTHS = read_table("03b_seventh_chord_voice_leading")
NEO = read_table("03c_neo_riemannian")


def players(count):
    """So many voices that may all sing the same two and a half octaves."""
    choir = ensemble("SATB choir")
    low, high = Pitch.from_text("C3"), Pitch.from_text("F5")
    voices = tuple(replace(voice, low=low, high=high) for voice in choir.voices[:count])
    return replace(choir, voices=voices, gaps=(), groups=(), staves=())


@cache
def least_motion(first, second, count):
    """The least number of semitones `count` voices move from one chord to the other."""
    best = prepare(parse(f"{first} | {second}"), players(count), FREE).best(MOTION_ONLY)
    return best.cost


def symbol(triad):
    """`c#` is C sharp minor in the tables."""
    return triad if triad[0].isupper() else triad[0].upper() + triad[1:] + "m"


@pytest.mark.parametrize("source", sorted({row["from_triad"] for row in TRIADS}))
def test_triads(source):
    rows = [row for row in TRIADS if row["from_triad"] == source]
    assert len(rows) == 24
    for row in rows:
        first, second = symbol(source), symbol(row["to_triad"])
        assert least_motion(first, second, 3) == int(row["l1_3voice"]), row["id"]
        assert least_motion(first, second, 4) == int(row["l1_4voice_any_doubling"]), row["id"]


@pytest.mark.parametrize("quality", sorted({row["from_quality"] for row in SEVENTHS}))
def test_seventh_chords(quality):
    for row in SEVENTHS:
        if row["from_quality"] == quality:
            interval = int(row["root_interval"])
            root = PitchName.from_fifths(interval * 7 % 12 - (12 if interval * 7 % 12 > 6 else 0))
            first, second = f"C{SYMBOLS[quality]}", f"{root}{SYMBOLS[row['to_quality']]}"
            assert least_motion(first, second, 4) == int(row["expected"]), row["id"]


def test_neo_riemannian_operations():
    rows = [row for row in NEO if row["l1"]]
    assert len(rows) >= 144
    for row in rows:
        first, second = symbol(row["from_triad"]), symbol(row["to_triad"])
        assert least_motion(first, second, 3) == int(row["l1"]), row["id"]


def test_cube_dance_distances_and_minimal_sizes():
    checked = 0
    for row in NEO:
        if row["quantity"] == "Cube Dance distance from C major":
            first, second = (symbol(part.strip()) for part in row["inputs"].split("->"))
        elif row["quantity"] in ("minimal voice-leading size", "published voice-leading anchor"):
            ends = row["inputs"].split(":")[0].split("->")
            first, second = chord_words(ends[0]), chord_words(ends[1])
            if first is None or second is None:
                continue
        else:
            continue
        count = 4 if first.endswith("7") else 3
        assert least_motion(first, second, count) == int(row["expected"]), row["id"]
        checked += 1
    assert checked >= 32


def chord_words(text):
    """`C major` and `C minor` as chord symbols, symbols as they are; None for other words."""
    name, _, kind = text.strip().partition(" ")
    if name.endswith("maj7"):
        return name
    return {"major": name, "minor": f"{name}m"}.get(kind.strip())
