"""What is kept of a MusicXML file, and what is told when it cannot be."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.errors import HarmonyError
from harmony.pitch import Interval, Key, Pitch
from harmony.reading.opening import read_bytes
from harmony.reading.progression import score_to_progression
from harmony.reading.theme import score_to_theme
from harmony.scoring import Score

NOTE = (
    "<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>{length}</duration>"
    "{more}</note>"
)


def read_part(*measures: str, head: str = "", part: str = "") -> Score:
    body = "".join(
        f'<measure number="{number}">{content}</measure>'
        for number, content in enumerate(measures, start=1)
    )
    text = (
        f"<score-partwise>{head}<part-list><score-part id='P1'><part-name>Clarinet</part-name>"
        f"{part}</score-part></part-list><part id='P1'>{body}</part></score-partwise>"
    )
    return read_bytes(text.encode(), name="sketch.xml")


def note(step: str, length: int = 4, more: str = "") -> str:
    return NOTE.format(step=step, length=length, more=more)


ATTRIBUTES = (
    "<attributes><divisions>1</divisions><key><fifths>2</fifths></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time>{}</attributes>"
)


def test_a_transposing_part_sounds_in_concert_pitch() -> None:
    moved = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    score = read_part(ATTRIBUTES.format(moved) + note("D"))
    assert score.parts[0].staves[0].events[0].pitches == (Pitch.from_text("C4"),)
    assert score.parts[0].transposition == Interval.from_text("-M2")
    assert score.keys[0].key == Key.from_text("C")


def test_marks_words_lyrics_slurs_and_dynamics_are_kept() -> None:
    marks = (
        "<notations><slur type='start' number='2'/><articulations><staccato/><tenuto/>"
        "</articulations><technical><up-bow/><fingering>3</fingering></technical>"
        "<ornaments><trill-mark/><tremolo type='single'>3</tremolo></ornaments>"
        "<fermata/><dynamics><sfz/></dynamics></notations>"
        "<lyric number='1'><syllabic>begin</syllabic><text>Al</text></lyric>"
    )
    words = (
        "<direction placement='above'><direction-type><words>div.</words></direction-type>"
        "</direction><direction><direction-type><wedge type='crescendo'/></direction-type>"
        "</direction>"
    )
    stop = "<direction><direction-type><wedge type='stop'/></direction-type></direction>"
    slur = "<notations><slur type='stop' number='2'/></notations>"
    score = read_part(
        ATTRIBUTES.format("") + words + note("D", 2, marks) + stop + note("E", 2, slur)
    )
    first, second = score.parts[0].staves[0].events
    assert set(first.marks) == {
        "staccato", "tenuto", "up-bow", "fingering=3", "trill-mark", "tremolo=3", "fermata",
    }  # fmt: skip
    assert first.slurs == (("start", 2),)
    assert second.slurs == (("stop", 2),)
    assert first.lyrics[0].text == "Al"
    assert first.lyrics[0].syllable == "begin"
    kinds = {(d.kind, d.text, d.until) for d in score.parts[0].staves[0].directions}
    assert kinds == {
        ("words", "div.", None),
        ("wedge", "crescendo", Fraction(2)),
        ("dynamic", "sfz", None),
    }


def test_grace_notes_tuplets_and_two_voices_are_kept() -> None:
    grace = (
        "<note><grace slash='yes'/><pitch><step>C</step><octave>5</octave></pitch>"
        "<type>16th</type></note>"
    )
    ratio = (
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification>"
    )
    triplet = "".join(
        f"<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>2</duration>"
        f"<voice>1</voice><type>quarter</type>{ratio}</note>"
        for step in "CDE"
    )
    second = "<backup><duration>6</duration></backup>" + note("A", 6, "<voice>2</voice>")
    score = read_part(
        ATTRIBUTES.format("").replace("<divisions>1", "<divisions>3") + grace + triplet + second
    )
    events = score.parts[0].staves[0].events
    assert [e.grace is not None for e in events].count(True) == 1
    assert [e.duration for e in events if e.tuplet] == [Fraction(2, 3)] * 3
    assert {e.voice for e in events} == {1, 2}


def test_tempo_and_chord_names_are_kept() -> None:
    tempo = (
        "<direction><direction-type><words>Andante</words></direction-type><direction-type>"
        "<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute>"
        "</metronome></direction-type><sound tempo='90'/></direction>"
    )
    chord = (
        "<harmony><root><root-step>B</root-step><root-alter>-1</root-alter></root>"
        "<kind text='m7'>minor-seventh</kind><bass><bass-step>D</bass-step>"
        "<bass-alter>-1</bass-alter></bass></harmony>"
    )
    score = read_part(ATTRIBUTES.format("") + tempo + chord + note("D"))
    assert score.tempi[0].quarters_per_minute == 90
    assert score.tempi[0].beat_quarters == Fraction(3, 2)
    assert score.tempi[0].words == "Andante"
    slot = score_to_progression(score).slots[0]
    assert slot.figure == "Bbm7/Db"
    assert slot.chord is not None
    assert [str(name) for name in slot.chord.names] == ["Db", "Bb", "F", "Ab"]


def test_what_cannot_be_kept_is_told_and_counted() -> None:
    gliss = "<notations><glissando type='start'/></notations>"
    bass = "<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>"
    cue = "<note><cue/><pitch><step>C</step><octave>5</octave></pitch><duration>2</duration></note>"
    score = read_part(ATTRIBUTES.format("") + note("D", 2, gliss) + bass + cue)
    told = " ".join(score.losses)
    for word in ("glissandi (1)", "figured bass (1)", "cue notes (1)"):
        assert word in told


def test_a_pickup_a_short_bar_and_a_repeat_keep_the_time() -> None:
    repeat = "<barline location='right'><repeat direction='backward'/></barline>"
    score = read_part(
        ATTRIBUTES.format("") + note("A", 1),
        note("D"),
        note("E", 3) + repeat,
        note("F", 1),
        note("G"),
        note("A", 2),
    )
    assert [(bar.number, bar.onset) for bar in score.all_bars] == [
        (0, 0), (1, 1), (2, 5), (3, 8), (4, 9), (5, 13),
    ]  # fmt: skip
    assert [score.meters.bar_start(number) for number in range(6)] == [0, 1, 5, 8, 9, 13]
    assert score.all_bars[2].repeats == ("backward",)
    theme = score_to_theme(score, bars="2-3")  # printed numbers count the pickup as 1
    assert [str(n.pitch) for n in theme.line.sounding] == ["D4", "E4"]


def test_timewise_files_read_like_partwise_ones() -> None:
    measure = ATTRIBUTES.format("") + note("D")
    text = (
        "<score-timewise><part-list><score-part id='P1'><part-name>A</part-name></score-part>"
        f"</part-list><measure number='1'><part id='P1'>{measure}</part></measure>"
        f"<measure number='2'><part id='P1'>{note('E')}</part></measure></score-timewise>"
    )
    score = read_bytes(text.encode(), name="x.xml")
    assert [e.onset for e in score.parts[0].staves[0].events] == [0, 4]


def test_a_theme_is_taken_by_part_and_bars() -> None:
    score = read_part(
        ATTRIBUTES.format("") + note("D", 4, "<notations><fermata/></notations>"),
        note("E"),
        note("F"),
    )
    theme = score_to_theme(score, part="clarinet", bars="1-2")
    assert theme.phrase_ends == (4,)
    assert theme.key == Key.from_text("D")
    assert theme.source == "sketch.xml, Clarinet, bars 1-2"
    assert score_to_theme(score, part=1, bars="3").line.notes[0].onset == 0
    refused = [
        ("Oboe", None, "no part"),
        (None, "9", "no bar 9"),
        (None, "3-1", "backwards"),
        (None, "x", "stretch"),
    ]
    for part, bars, word in refused:
        with pytest.raises(HarmonyError, match=word):
            score_to_theme(score, part=part, bars=bars)
