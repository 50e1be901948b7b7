"""The demo's themes are what their page says, as music21 reads them (not as we do)."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import pytest

import harmony
from harmony.resources import find_corpora
from harmony.workbench.progression.opening import TEXT

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from music21 import converter, interval, key


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


def sounding(name: str) -> list[tuple[float, float, Any]]:
    """Give offset, length and pitch of each note, as music21 reads them."""
    score = converter.parse(find_corpora("loom_hall", f"{name}.abc"), format="abc")
    return [(n.offset, n.quarterLength, n.pitch) for n in score.flatten().notes]


def cut(notes: list[tuple[float, float, Any]], start: float, end: float) -> list[Any]:
    return [(at - start, length, pitch) for at, length, pitch in notes if start <= at < end]


def test_shuttle_has_no_f_so_that_its_answers_coincide() -> None:
    assert {pitch.name for _, _, pitch in sounding("shuttle")} == set("ABCDEG")
    found = harmony.canon(harmony.open_theme(find_corpora("loom_hall", "shuttle.abc")))
    told = [
        (c["interval"], c["direction"], c["delay"], c["answer"]) for c in found.to_json()["canons"]
    ]
    assert ("P5", "below", 4.0, "real") in told
    assert ("P5", "below", 4.0, "diatonic") not in told


def test_pattern_drawer_goes_up_a_step_and_then_up_a_minor_third() -> None:
    notes = sounding("pattern_drawer")
    model, copy = cut(notes, 0, 9), cut(notes, 12, 21)
    major = key.Key("E")
    steps = [major.getScaleDegreeAndAccidentalFromPitch(pitch) for _, _, pitch in model]
    copied = [major.getScaleDegreeAndAccidentalFromPitch(pitch) for _, _, pitch in copy]
    assert [one[:2] for one in model] == [one[:2] for one in copy]
    assert [(degree % 7 + 1, None) for degree, _ in steps] == copied
    model, copy = cut(notes, 0, 12), cut(notes, 24, 36)
    assert [one[:2] for one in model] == [one[:2] for one in copy]
    third = interval.Interval("m3")
    assert [third.transposePitch(one[2]).nameWithOctave for one in model] == [
        one[2].nameWithOctave for one in copy
    ]
    assert {one[2].name for one in copy} <= {pitch.name for pitch in key.Key("G").pitches}
    # The climax: an A on the first beat of bar 14, left down a step.
    highest = max(notes, key=lambda note: note[2].midi)
    assert (highest[2].nameWithOctave, highest[0] / 3 + 1) == ("A5", 14)
    assert notes[notes.index(highest) + 1][2].nameWithOctave == "G#5"


def test_bars_4_and_8_of_pattern_drawer_mean_different_things() -> None:
    theme = harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))
    for name, bar in (("C#", 4), ("B", 8)):
        roles = set()
        for one in harmony.harmonise(theme, idioms=("common-practice", "romantic")).alternatives:
            at = 3 * (bar - 1)
            chord = next(s.chord for s in reversed(one.progression.slots) if s.onset <= at)
            names = [str(n) for n in chord.names]
            roles.add(names.index(name) if name in names else "outside")
        assert len(roles) > 1


def test_lamps_out_opens_as_shuttle_does_in_doubled_values() -> None:
    slow, quick = sounding("lamps_out"), sounding("shuttle")
    assert [pitch.nameWithOctave for _, _, pitch in slow[:5]] == [
        pitch.nameWithOctave for _, _, pitch in quick[:5]
    ]
    assert [length for _, length, _ in slow[:5]] == [2 * length for _, length, _ in quick[:5]]


def test_lamps_out_can_lie_over_held_notes_and_change_less_often_in_fourths() -> None:
    theme = harmony.open_theme(find_corpora("loom_hall", "lamps_out.abc"))
    moving = [
        [str(note.name) for note in one.held]
        for one in harmony.harmonise(theme, idioms=("pedal",)).alternatives
    ]
    assert ["D", "Bb", "D"] in moving

    # With the phrases as composed, five bars and four, the second note comes in at bar 6.
    composed = harmony.harmonise(theme, idioms=("pedal",), phrase_ends=(20, 36)).alternatives
    held = next(one.held for one in composed if len(one.held) == 3)
    assert [(str(note.name), note.start, note.end) for note in held[:1]] == [("D", 0, 20)]
    assert (str(held[1].name), held[1].start) == ("Bb", 20)

    def fewest(idiom: str) -> int:
        found = harmony.harmonise(theme, idioms=(idiom,)).alternatives
        return min(len(one.progression.slots) for one in found)

    assert fewest("quartal") < fewest("common-practice")


@pytest.mark.parametrize("players", ["trombones and tuba", "string quartet", "string orchestra"])
def test_the_ground_stands_for_low_brass_and_for_strings(players: str) -> None:
    text = find_corpora("loom_hall", "ground.txt").read_text(encoding="utf-8")
    assert text.strip() == TEXT
    (one,) = harmony.voice(text, players).alternatives
    assert one.outcome.status == "optimal"
    wrong = ("consecutive_perfects", "crossing", "overlap", "low_intervals", "resolution")
    assert {name: one.term_costs.get(name, 0) for name in wrong} == dict.fromkeys(wrong, 0)


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
