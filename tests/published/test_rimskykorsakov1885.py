"""The 37 worked examples of Rimsky-Korsakov's manual, voiced by the engine.

Source: N. Rimsky-Korsakov, Practical Manual of Harmony (1885), encoded in the open
dataset When in Rome (CC BY-SA 4.0).  Voiced at the same number of voices, chord by chord
as labelled, the engine moves no further than he does and writes no consecutives.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby, pairwise

import numpy as np
import pytest

from harmony.chords.api import parse
from harmony.instruments.catalogue import ensemble
from harmony.pitch.spelling import Pitch
from harmony.voicings.api import prepare
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.rules import NoConsecutivePerfects, RuleSet
from tests.published.rows import read_table

MOTION_ONLY = dict.fromkeys(TERM_NAMES, 0) | {"motion": 1}
STRICT = RuleSet(steps=(NoConsecutivePerfects(),))
PERFECTS = TERM_NAMES.index("consecutive_perfects")


def runs():
    """Stretches of an example with the same number of notes throughout, two chords or more."""
    rows = read_table("10d_textbook_realisations")
    for _, example in groupby(rows, key=lambda row: row["example"]):
        for size, run in groupby(example, key=lambda row: len(row["expected"].split())):
            chords = list(run)
            if len(chords) > 1:
                yield size, chords


def players(size):
    choir = ensemble("SATB choir")
    if size == 4:
        return choir
    kept = choir.voices[:2] + choir.voices[3:]
    return replace(choir, voices=kept, gaps=(12, 0), groups=(), staves=())


def semitones_moved(chords):
    return np.abs(np.diff(np.array(chords), axis=0)).sum(axis=1).tolist()


@pytest.mark.parametrize("weights", [MOTION_ONLY, None], ids=["motion alone", "chorale preset"])
def test_moves_no_further_and_writes_no_consecutives(weights):
    his, ours, examples = [], [], set()
    for size, chords in runs():
        text = " | ".join(f"{row['key']}: {row['figure']}" for row in chords)
        best = prepare(parse(text), players(size), STRICT).best(weights)
        assert best.amounts[:, PERFECTS].sum() == 0, text
        examples.add(chords[0]["example"])
        if size == 4:
            ours += semitones_moved([[pitch.midi for pitch in chord] for chord in best.pitches])
            his += semitones_moved(
                [sorted(Pitch.from_text(n).midi for n in row["expected"].split()) for row in chords]
            )
    # Three of the 37 change their number of notes at every chord.
    assert len(examples) == 34
    assert len(his) == 141
    # The mean printed in table 10e, of the same 141 steps.
    assert np.mean(his) == pytest.approx(5.915, abs=0.0005)
    assert np.mean(ours) <= np.mean(his)


def examples():
    rows = read_table("10d_textbook_realisations")
    return [(name, list(rows)) for name, rows in groupby(rows, key=lambda row: row["example"])]


@pytest.mark.parametrize(("name", "rows"), examples(), ids=[name for name, _ in examples()])
def test_the_whole_example_in_four_parts_without_consecutives(name, rows):
    assert len(examples()) == 37
    text = " | ".join(f"{row['key']}: {row['figure']}" for row in rows)
    best = prepare(parse(text), players(4), STRICT).best()
    assert best.outcome.status == "optimal"
    midi = np.array([[pitch.midi for pitch in chord] for chord in best.pitches])
    for before, after in pairwise(midi):
        for upper in range(3):
            for lower in range(upper + 1, 4):
                same = (before[upper] - before[lower]) % 12 == (after[upper] - after[lower]) % 12
                perfect = (after[upper] - after[lower]) % 12 in (0, 7)
                both = before[upper] != after[upper] and before[lower] != after[lower]
                assert not (same and perfect and both), name
