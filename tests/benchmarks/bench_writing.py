"""Scores out: MEI, MusicXML and pictures, as ratios to music21's MusicXML export.

The score has four parts of 16 bars, 64 chords. Reference: music21 10.5 exporting
the same score. Aims, on two cores at rest: MEI at least 25 times and MusicXML at
least 5 times faster than the reference.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from fractions import Fraction

import pytest

from harmony.pitch import MeterMap, Pitch
from harmony.reading.opening import read_bytes
from harmony.scoring import Event, Part, Score, Staff
from harmony.writing.engraving import engrave
from harmony.writing.mei import write_mei
from harmony.writing.musicxml import write_musicxml

REPEATS = 15


def four_parts() -> Score:
    parts = []
    for number, name in enumerate(("E5", "C5", "G4", "C3")):
        pitch = Pitch.from_text(name)
        events = tuple(
            Event(Fraction(at), Fraction(1), (pitch,), id=f"s{at}v{number}") for at in range(64)
        )
        parts.append(Part(name, (Staff(events),)))
    return Score(tuple(parts), MeterMap.steady("4/4"))


def milliseconds(work: Callable[[], object], repeats: int = REPEATS) -> float:
    work()
    taken = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        taken.append(time.perf_counter() - started)
    return 1000.0 * statistics.median(taken)


@pytest.mark.benchmark
def test_writing_against_music21() -> None:
    from music21 import converter
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    score = four_parts()
    data = write_musicxml(score)
    stream = converter.parse(data, format="musicxml")
    reference = milliseconds(lambda: GeneralObjectExporter(stream).parse(), 5)
    parsing = milliseconds(lambda: converter.parse(data, format="musicxml", forceSource=True), 3)
    rows = {
        "building the score": milliseconds(four_parts),
        "MEI": milliseconds(lambda: write_mei(score)),
        "MusicXML": milliseconds(lambda: write_musicxml(score)),
        "MEI and verovio": milliseconds(lambda: engrave(score)),
    }
    print(f"\nmusic21's MusicXML export {reference:.1f} ms")
    for name, taken in rows.items():
        print(f"{name:20} {taken:7.2f} ms, {reference / taken:6.1f} times faster")
    reading = milliseconds(lambda: read_bytes(data, name="x.xml"))
    print(f"{'reading MusicXML':20} {reading:7.2f} ms, {parsing / reading:6.1f} times music21")
    assert reference / rows["MEI"] >= 25
    assert reference / rows["MusicXML"] >= 5
