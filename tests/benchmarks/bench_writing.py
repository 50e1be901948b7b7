"""Scores out: MEI, MusicXML and pictures, as ratios to music21's MusicXML export.

The score has four parts of 16 bars, 64 chords. Reference: music21 10.5 exporting
the same score; aimed at were 25 times its speed for MEI and 5 times for MusicXML.
Twenty staves of 16 bars are told against verovio laying out and drawing them alone,
which is nearly all of it.
"""

from __future__ import annotations

from fractions import Fraction

from verovio import toolkit

from harmony.pitch import MeterMap, Pitch
from harmony.reading.opening import read_bytes
from harmony.scoring import Event, Part, Score, Staff
from harmony.writing.engraving import SCREEN, engrave
from harmony.writing.mei import write_mei
from harmony.writing.musicxml import write_musicxml
from tests.benchmarks.ledger import Ledger
from tests.benchmarks.timing import timed

RUNS = 15


def build_score(names: tuple[str, ...] = ("E5", "C5", "G4", "C3")) -> Score:
    parts = []
    for number, name in enumerate(names):
        pitch = Pitch.from_text(name)
        events = tuple(
            Event(Fraction(at), Fraction(1), (pitch,), id=f"s{at}v{number}") for at in range(64)
        )
        parts.append(Part(name, (Staff(events),)))
    return Score(tuple(parts), MeterMap.steady("4/4"))


def test_writing_against_music21() -> None:
    from music21 import converter
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    score = build_score()
    data = write_musicxml(score)
    stream = converter.parse(data, format="musicxml")
    reference = 1000 * timed(lambda: GeneralObjectExporter(stream).parse())
    rows = {
        "building the score": build_score,
        "MEI": lambda: write_mei(score),
        "MusicXML": lambda: write_musicxml(score),
        "MEI and verovio": lambda: engrave(score),
    }
    print(f"\nmusic21's MusicXML export {reference:.1f} ms")
    for name, work in rows.items():
        taken = 1000 * timed(work, runs=RUNS)
        print(f"{name:20} {taken:7.2f} ms, {reference / taken:6.1f} times faster")
    parsing = timed(lambda: converter.parse(data, format="musicxml", forceSource=True), runs=3)
    reading = timed(lambda: read_bytes(data, name="x.xml"), runs=RUNS)
    print(
        f"{'reading MusicXML':20} {1000 * reading:7.2f} ms, music21 takes {parsing / reading:.1f} x"
    )


def test_twenty_staves(ledger: Ledger) -> None:
    """Sixteen bars as the desk draws them, and laid on the page of a browser."""
    score = build_score(("E5", "C5", "G4", "C3") * 5)
    data = write_mei(score)
    plain = toolkit()
    plain.setOptions(dict(SCREEN))

    def draw_plainly() -> None:
        plain.loadData(data)
        plain.renderToSVG(1)

    drawn, alone = timed(lambda: engrave(score)), timed(draw_plainly)
    ledger.enter("twenty_staves", drawn, ratio=drawn / alone)
    print(f"\n20 staves of 16 bars: {drawn:.2f} s, verovio alone {alone:.2f} s")
