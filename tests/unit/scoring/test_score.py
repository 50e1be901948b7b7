"""Scores check themselves, and are made from themes and progressions."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.pitch import Key, Line, MeterMap, Note, Pitch, Theme
from harmony.scoring import (
    Bar,
    ClefChange,
    Direction,
    Event,
    Grace,
    Group,
    Lyric,
    Part,
    Score,
    Staff,
    Tempo,
    Tuplet,
    event_of_id,
)
from harmony.scoring.build import (
    block_pitches,
    part_to_line,
    progression_to_score,
    theme_to_score,
    theme_to_tempi,
)

C4 = Pitch.from_text("C4")


def event(onset: int, duration: int, **more: object) -> Event:
    return Event(Fraction(onset), Fraction(duration), (C4,), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("build", "word"),
    [
        (lambda: event(-1, 1), "before time 0"),
        (lambda: event(0, 0), "grace"),
        (lambda: event(0, 1, grace=Grace()), "grace"),
        (lambda: event(0, 1, ties=("start", "stop")), "Ties"),
        (lambda: event(0, 1, voice=0), "voice"),
        (lambda: event(0, 1, marks=("loud",)), "mark"),
        (lambda: event(0, 1, id="a.b"), "full stop"),
        (lambda: Staff((event(0, 2), event(1, 1))), "two events at once"),
        (lambda: Staff((event(1, 1), event(0, 1))), "in order"),
        (lambda: Staff((), ()), "clef"),
        (lambda: ClefChange(Fraction(0), "purple"), "clef"),
        (lambda: Direction(Fraction(0), "shout"), "direction"),
        (lambda: Direction(Fraction(2), "wedge", "crescendo", until=Fraction(1)), "before"),
        (lambda: Tempo(Fraction(0), 0.0), "tempo"),
        (lambda: Lyric("la", "half"), "word"),
        (lambda: Tuplet(0, 2), "tuplet"),
        (lambda: Part("A", ()), "staff"),
        (lambda: Part("A", (Staff(()),), midi_program=0), "program"),
        (lambda: Group(2, 1), "before"),
        (lambda: Score((), MeterMap.steady("4/4")), "at least one part"),
        (
            lambda: Score(
                (Part("A", (Staff(()),)),), MeterMap.steady("4/4"), groups=(Group(0, 1),)
            ),
            "beyond",
        ),
        (
            lambda: Score(
                (Part("A", (Staff((event(0, 8),)),)),),
                MeterMap.steady("4/4"),
                bars=(Bar(1, Fraction(0), Fraction(4), MeterMap.steady("4/4").meter_at(1)),),
            ),
            "reach",
        ),
    ],
)
def test_impossible_scores_are_refused_in_one_sentence(build, word: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(HarmonyError, match=word):
        build()


def test_a_theme_becomes_a_score_and_comes_back() -> None:
    line = Line(
        (
            Note(Fraction(0), Fraction(1), Pitch.from_text("A3"), None, ("slur-start",)),
            Note(Fraction(1), Fraction(2), Pitch.from_text("Bb3"), None, ("slur-stop", "fermata")),
            Note(Fraction(3), Fraction(1), None),
        )
    )
    theme = Theme(line, MeterMap.steady("3/4"), Key.from_text("d"), quarters_per_minute=60.0)
    score = theme_to_score(theme)
    assert part_to_line(score.parts[0]).notes[0] == line.notes[0]
    marks = {mark for note in part_to_line(score.parts[0]) for mark in note.marks}
    assert marks == {"slur-start", "slur-stop", "fermata"}
    assert score.parts[0].staves[0].clefs[0].name == "bass"
    assert score.tempi[0].quarters_per_minute == 60
    assert [bar.number for bar in score.all_bars] == [1, 2]


def test_a_progression_becomes_block_chords_over_their_basses() -> None:
    score = progression_to_score(parse("D: I V6 | {C2 G2 E3} N.C."))
    upper, lower = score.parts[0].staves
    assert [[str(p) for p in e.pitches] for e in lower.events] == [["D3"], ["C#3"], ["C2"], []]
    assert str(upper.events[2].pitches[0]) == "G2"
    assert [h.numeral for h in score.harmonies][:2] == ["I", "V6"]
    assert score.keys[0].key == Key.from_text("D")
    assert event_of_id("s1b.2") == "s1b"


def test_block_chords_stand_in_close_position() -> None:
    chord = parse("Cmaj9/E").slots[0].chord
    assert chord is not None
    heights = [pitch.midi for pitch in block_pitches(chord)]
    assert heights == sorted(heights)
    assert heights[-1] - heights[0] <= 15


@pytest.mark.parametrize(
    ("meter", "beat"), [("6/8", "3/2"), ("12/16", "3/4"), ("4/4", "1"), ("2/2", "1"), ("3/8", "1")]
)
def test_the_tempo_of_a_theme_is_marked_in_dotted_beats_where_it_has_such(
    meter: str, beat: str
) -> None:
    line = Line((Note(Fraction(0), Fraction(1), C4),))
    theme = Theme(line, MeterMap.steady(meter), None, quarters_per_minute=144.0)
    (tempo,) = theme_to_tempi(theme)
    assert (tempo.quarters_per_minute, tempo.beat_quarters) == (144.0, Fraction(beat))
    assert theme_to_tempi(replace(theme, quarters_per_minute=None)) == ()
