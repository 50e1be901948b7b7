"""MusicXML against the W3C's schema, music21 as a second reader, and verovio as a third."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest
import verovio
from hypothesis import HealthCheck, Phase, given, settings

from harmony.chords.leadsheet import read_symbol
from harmony.chords.roman import read_numeral
from harmony.pitch import Interval, Key, MeterMap, Pitch
from harmony.scoring import (
    Event,
    Group,
    Harmony,
    KeyChange,
    Part,
    Score,
    Staff,
)
from harmony.writing.musicxml import write_musicxml
from tests.published.musicxml_schema import faults
from tests.unit.writing.random_scores import may_be_respelled, scores

#: Shrinking a whole score takes minutes, so a failing one is shown as drawn.
SLOW = settings(
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    max_examples=25,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
Sounding = Counter[tuple[str, Fraction, Fraction]]


def one_part(*events: Event, **more: object) -> Score:
    part = Part("Flute", (Staff(events),), **more)  # type: ignore[arg-type]
    return Score((part,), MeterMap.steady("4/4"))


def note(onset: str, duration: str, *names: str, **more: object) -> Event:
    return Event(
        Fraction(onset),
        Fraction(duration),
        tuple(Pitch.from_text(name) for name in names),
        **more,  # type: ignore[arg-type]
    )


def sounding_in(part: Part) -> Sounding:
    return Counter(
        (str(pitch), event.onset, event.duration)
        for staff in part.staves
        for event in staff.events
        for pitch in event.pitches
        if event.grace is None
    )


def by_sound(notes: Sounding) -> Counter[tuple[int, Fraction, Fraction]]:
    sounds: Counter[tuple[int, Fraction, Fraction]] = Counter()
    for (name, onset, duration), count in notes.items():
        sounds[Pitch.from_text(name).midi, onset, duration] += count
    return sounds


def music21_sounding(data: bytes, staves: list[int]) -> list[Sounding]:
    """Read with music21: for each part the spelled sounding pitches with onset and duration."""
    from music21 import converter

    stream = converter.parse(data, format="musicxml")
    read = [join_ties(part.toSoundingPitch()) for part in stream.parts]
    found = []
    for count in staves:
        sounding: Sounding = Counter()
        for part in read[:count]:
            sounding += part
        found.append(sounding)
        read = read[count:]
    return found


def join_ties(part) -> Sounding:  # type: ignore[no-untyped-def]
    """Join tied notes; music21's own stripTies leaves chords in several voices apart."""
    sounding: Sounding = Counter()
    open_notes: dict[tuple[str, Fraction], Fraction] = {}
    for element in part.flatten().notes:
        if element.duration.isGrace or "ChordSymbol" in element.classes:
            continue
        # music21 counts in floats save for thirds and the like.
        onset = Fraction(element.offset).limit_denominator(5040)
        end = onset + Fraction(element.quarterLength).limit_denominator(5040)
        for note in getattr(element, "notes", None) or (element,):
            name = note.pitch.nameWithOctave.replace("-", "b")
            tie = note.tie.type if note.tie is not None else None
            start = open_notes.pop((name, onset)) if tie in ("stop", "continue") else onset
            if tie in ("start", "continue"):
                open_notes[name, end] = start
            else:
                sounding[name, start, end - start] += 1
    assert not open_notes
    return sounding


def verovio_log(data: bytes, capfd: pytest.CaptureFixture[str]) -> str:
    capfd.readouterr()
    verovio.enableLog(verovio.LOG_WARNING)
    toolkit = verovio.toolkit()
    assert toolkit.loadData(data.decode())
    toolkit.renderToSVG(1)
    verovio.enableLog(verovio.LOG_OFF)
    caught = capfd.readouterr()
    return caught.out + caught.err


@SLOW
@given(scores())
def test_random_scores_are_valid_in_both_pitches(score: Score) -> None:
    for concert in (False, True):
        assert faults(write_musicxml(score, concert=concert)) == []


@settings(SLOW, max_examples=15)
@given(scores(has_extras=False))
def test_music21_reads_back_the_same_spelled_sounding_notes(score: Score) -> None:
    data = write_musicxml(score)
    for part, read in zip(
        score.parts,
        music21_sounding(data, [len(part.staves) for part in score.parts]),
        strict=True,
    ):
        expected = sounding_in(part)
        # Only notes that would need three signs may come back with another letter.
        respelled = expected - read
        assert by_sound(respelled) == by_sound(read - expected)
        assert all(may_be_respelled(score, part, Pitch.from_text(name)) for name, _, _ in respelled)


def test_verovio_loads_random_scores_without_a_warning(capfd: pytest.CaptureFixture[str]) -> None:
    logs = []

    @settings(SLOW, max_examples=15)
    @given(scores())
    def check(score: Score) -> None:
        logs.append(verovio_log(write_musicxml(score), capfd))

    check()
    assert set(logs) == {""}


def test_equal_scores_give_equal_bytes_and_name_only_this_tool() -> None:
    data = write_musicxml(one_part(note("0", "4", "C4")))
    assert data == write_musicxml(one_part(note("0", "4", "C4")))
    assert data.count(b"<software>") == 1
    assert b"<software>loom-harmony-workbench</software>" in data
    assert b"encoding-date" not in data


def test_no_player_reads_three_flats() -> None:
    # For an instrument a tone up, F sharp major is written in A flat, not G sharp.
    key = (KeyChange(Fraction(0), Key.from_text("F#")),)
    part = one_part(note("0", "4", "Gb4"), transposition=Interval.from_text("-M2")).parts
    data = write_musicxml(Score(part, MeterMap.steady("4/4"), keys=key))
    assert b"<fifths>-4</fifths>" in data
    assert b"<step>A</step>" in data
    assert b"<accidental>double-flat</accidental>" not in data
    (read,) = music21_sounding(data, [1])
    assert {Pitch.from_text(name).midi for name, _, _ in read} == {66}


def test_a_note_over_a_bar_line_is_tied() -> None:
    data = write_musicxml(one_part(note("3", "3", "F#4")))
    assert data.count(b'<tie type="start"') == data.count(b'<tie type="stop"') == 1
    # The sign holds over the tie: it is written once.
    assert data.count(b"<accidental>") == 1


def test_chord_names_have_roots_and_numerals_are_words() -> None:
    harmonies = (
        Harmony(Fraction(0), read_symbol("Bbmaj7/D"), "Bbmaj7/D"),
        Harmony(Fraction(1), read_numeral("viio65/V", Key.from_text("C")), "", "viio65/V"),
        Harmony(Fraction(2), None, "N.C."),
    )
    score = one_part(note("0", "4", "C4"))
    score = Score(score.parts, score.meters, harmonies=harmonies)
    data = write_musicxml(score)
    assert faults(data) == []
    assert data.count(b"<root>") == 3
    assert b"<numeral>" not in data
    assert b"<function>" not in data
    assert b"<words>viio65/V</words>" in data
    assert music21_figures(data) == [
        {"Bb", "D", "F", "A"},
        {"F#", "A", "C", "Eb"},
        set(),
    ]


def music21_figures(data: bytes) -> list[set[str]]:
    from music21 import converter

    stream = converter.parse(data, format="musicxml")
    symbols = stream.recurse().getElementsByClass("ChordSymbol")
    return [{pitch.name.replace("-", "b") for pitch in symbol.pitches} for symbol in symbols]


def test_a_signature_beyond_seven_sharps_is_respelled() -> None:
    # B major for an instrument in E flat would read in G sharp major; it reads in A flat.
    score = one_part(note("0", "4", "D#4"), transposition=Interval.from_text("-M6"))
    score = Score(score.parts, score.meters, keys=(KeyChange(Fraction(0), Key.from_text("B")),))
    data = write_musicxml(score)
    assert b"<fifths>-4</fifths>" in data
    assert b"<step>C</step>\n     <octave>5</octave>" in data
    assert music21_sounding(data, [1]) == [Counter({("D#4", Fraction(0), Fraction(4)): 1})]


def test_a_concert_score_keeps_only_octave_transpositions() -> None:
    horn = Part("Horn", (Staff((note("0", "4", "F3"),)),), transposition=Interval.from_text("-P5"))
    bass = Part("Bass", (Staff((note("0", "4", "F1"),)),), transposition=Interval.from_text("-P8"))
    data = write_musicxml(Score((horn, bass), MeterMap.steady("4/4")), concert=True)
    assert faults(data) == []
    assert data.count(b"<transpose>") == 1
    assert b"<for-part>" in data
    assert b"<concert-score" in data


def test_groups_nest_and_close() -> None:
    parts = tuple(Part(f"P{i}", (Staff((note("0", "4", "C4"),)),)) for i in range(3))
    groups = (Group(1, 2, "inner", "square"), Group(0, 2, "outer"))
    data = write_musicxml(Score(parts, MeterMap.steady("4/4"), groups=groups))
    assert faults(data) == []
    assert data.index(b"outer") < data.index(b"inner")
    assert data.count(b'<part-group type="stop"') == 2
