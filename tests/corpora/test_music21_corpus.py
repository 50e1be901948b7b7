"""Every score of the music21 corpus opens, or is refused in one sentence."""

from __future__ import annotations

import random
import warnings
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.reading.opening import read
from tests.corpora.sweeping import corpus_files, corpus_folder, report, sweep

Notes = Counter[tuple[str, Fraction, Fraction]]
#: 200 files: kern and ABC go through music21, a second each, so fewer of them.
SAMPLE = {".mxl": 110, ".xml": 25, ".abc": 45, ".krn": 20}


def refusals(paths: list[Path]) -> dict[str, str]:
    """Open each file; anything but a HarmonyError goes through and fails the test."""
    refused = {}
    for path in paths:
        try:
            score = read(path)
        except HarmonyError as fault:
            refused[path.name] = fault.message
        else:
            assert score.end > 0
    assert not any("\n" in message for message in refused.values())
    return refused


@pytest.mark.slow
def test_a_sample_of_the_corpus_opens() -> None:
    files = corpus_files()
    chance = random.Random(21)
    sample = []
    for ending, count in SAMPLE.items():
        sample += chance.sample([path for path in files if path.suffix == ending], count)
    assert len(sample) == 200
    assert refusals(sample) == {}


@pytest.mark.sweep
@pytest.mark.timeout(0)  # each file has its own limit, which uses the same alarm
def test_the_whole_corpus_opens(cache: pytest.Cache) -> None:
    """Half an hour; stopped and run again, it goes on where it was."""
    files = corpus_files()
    assert len(files) > 3000
    log = Path(cache.mkdir("corpus_sweep")) / "met.tsv"
    mets = sweep(files, log)
    log.unlink()  # a whole round is judged once
    print(report(mets))
    assert {met.name for met in mets} == {f.relative_to(corpus_folder()).as_posix() for f in files}
    assert [met for met in mets if met.kind != "read"] == []


def spelled_notes(path: Path) -> tuple[Notes, Notes]:
    """Give the sounding notes of a file as we read it and as music21 does."""
    from music21 import converter

    ours: Notes = Counter(
        (str(pitch), event.onset, event.duration)
        for part in read(path).parts
        for staff in part.staves
        for event in staff.events
        if event.grace is None and "unpitched" not in event.marks
        for pitch in event.pitches
    )
    theirs: Notes = Counter()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        stream = converter.parse(path).toSoundingPitch()
    for note in stream.flatten().notes:
        if note.duration.isGrace or {"ChordSymbol", "Unpitched"} & set(note.classes):
            continue
        onset = Fraction(note.offset).limit_denominator(5040)
        length = Fraction(note.quarterLength).limit_denominator(5040)
        for pitch in note.pitches:
            theirs[pitch.nameWithOctave.replace("-", "b"), onset, length] += 1
    return ours, theirs


@pytest.mark.slow
def test_music21_as_second_reader_finds_the_same_spelled_notes() -> None:
    files = [path for path in corpus_files() if path.suffix in (".mxl", ".xml")]
    sample = random.Random(3).sample(files, 15)
    same = 0
    for path in sample:
        ours, theirs = spelled_notes(path)
        # Where a bar of one part holds too much or too little music21 lets that part
        # run ahead of the others, and ours stay together: times differ, notes do not.
        assert Counter(name for name, _, _ in ours.elements()) == Counter(
            name for name, _, _ in theirs.elements()
        )
        same += ours == theirs
    assert same >= 12
