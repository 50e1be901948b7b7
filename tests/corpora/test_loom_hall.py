"""The demo's themes are what their page says, as music21 reads them (not as we do)."""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest

import harmony
from harmony.resources import find_corpora
from harmony.workbench.progression.opening import TEXT

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import converter


@pytest.mark.parametrize(
    ("name", "bars", "quarters", "seconds", "first", "last"),
    [
        ("shuttle", 8, 32, 13.9, "A4", "D5"),
        ("pattern_drawer", 16, 48, 40.0, "G#4", "E5"),
        ("lamps_out", 9, 36, 45.0, "A4", "A4"),
        ("night_shift", 16, 48, 20.0, "D5", "D5"),
    ],
)
def test_a_theme_is_as_long_as_said(
    name: str, bars: int, quarters: int, seconds: float, first: str, last: str
) -> None:
    score = converter.parse(find_corpora("loom_hall", f"{name}.abc"), format="abc")
    notes = list(score.flatten().notes)
    measures = list(score.parts[0].getElementsByClass("Measure"))
    assert len(measures) == bars
    full = measures[0].barDuration.quarterLength
    assert [measure.duration.quarterLength for measure in measures] == [full] * bars
    assert sum(note.quarterLength for note in notes) == quarters
    (mark,) = score.flatten().getElementsByClass("MetronomeMark")
    assert mark.durationToSeconds(quarters) == pytest.approx(seconds, abs=0.05)
    assert (notes[0].nameWithOctave, notes[-1].nameWithOctave) == (first, last)


def test_night_shift_goes_twice_over_the_ground_of_the_piece() -> None:
    chords = [slot.chord for slot in harmony.parse(TEXT) if slot.chord is not None] * 2
    score = converter.parse(find_corpora("loom_hall", "night_shift.abc"), format="abc")
    notes = list(score.flatten().notes)
    for beat in range(32):
        at = beat * 1.5
        (note,) = [n for n in notes if n.offset <= at < n.offset + n.quarterLength]
        names = {str(name).replace("b", "-") for name in chords[beat // 2].names}
        assert note.name in names, (beat, note.name, names)
    highest = max(notes, key=lambda note: note.pitch.midi)
    assert (highest.nameWithOctave, highest.offset // 3 + 1) == ("D6", 12)
    assert min(note.pitch.midi for note in notes) == 67


def test_every_piece_is_named_with_its_licence() -> None:
    root = find_corpora()
    told = (root / "README.md").read_text(encoding="utf-8")
    for path in root.glob("*/*"):
        assert path.name in told
    for folder in (entry for entry in root.iterdir() if entry.is_dir()):
        section = told.partition(f"## {folder.name}\n")[2].partition("\n## ")[0]
        assert "licence" in section


def test_the_finder_gives_files_that_exist() -> None:
    assert isinstance(find_corpora("README.md"), Path)
