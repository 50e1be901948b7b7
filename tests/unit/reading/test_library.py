"""ABC and kern, by way of music21, into the same score model."""

from __future__ import annotations

from fractions import Fraction

from harmony.pitch import Key, Meter
from harmony.reading.opening import read_bytes
from harmony.reading.theme import score_to_theme

ABC = b"""X:1
T:Shuttle
M:6/8
L:1/8
Q:3/8=60
K:Ddor
"Dm"D2 ^C "Gm7"G3 | (3ABc B2 A3 |]
X:2
T:Second
K:C
C4|
"""
KERN = b"""**kern\t**kern
*clefF4\t*clefG2
*k[b-e-]\t*k[b-e-]
*g:\t*g:
*M3/4\t*M3/4
4GG\t4.b-
4D\t.
.\t8a
4G\t4g;
=2\t=2
2.GG\t2.f#
==\t==
*-\t*-
"""


def test_abc_keeps_spelling_meter_mode_and_chord_names() -> None:
    score = read_bytes(ABC, name="shuttle.abc")
    assert score.title == "Shuttle"
    assert score.meters.meter_at(1) == Meter((6,), 8)
    assert score.keys[0].key == Key.from_text("D dorian")
    theme = score_to_theme(score)
    assert [str(note.pitch) for note in theme.line.sounding][:3] == ["D4", "C#4", "G4"]
    assert [harmony.symbol for harmony in score.harmonies] == ["Dm", "Gm7"]
    assert "The file holds 2 tunes; the first is read." in score.losses


def test_kern_keeps_two_spines_and_ends_a_phrase_at_a_fermata() -> None:
    score = read_bytes(KERN, name="dance.krn")
    assert len(score.parts) == 2
    theme = score_to_theme(score, part=1)
    assert [str(note.pitch) for note in theme.line.sounding] == ["Bb4", "A4", "G4", "F#4"]
    assert theme.phrase_ends == (Fraction(3),)
    assert theme.meters.meter_at(1) == Meter((3,), 4)


def test_a_short_bar_before_a_repeat_stays_short() -> None:
    """The pickup after the repeat completes it, as in most dance tunes."""
    tune = b"X:1\nM:2/4\nL:1/8\nK:F\nc|AFAc|f3:|:c|gfed|f3:|\n"
    score = read_bytes(tune, name="reel.abc")
    assert [float(bar.length) for bar in score.bars] == [0.5, 2, 1.5, 0.5, 2, 1.5]
    assert score.end == 8


def test_a_length_that_no_single_note_has_is_tied() -> None:
    score = read_bytes(b"X:1\nM:3/4\nL:1/8\nK:C\nc5 d|\n", name="five.abc")
    assert score.end == 3


def test_a_tempo_with_blanks_around_its_sign_is_read() -> None:
    score = read_bytes(b"X:1\nM:2/4\nQ:1/4 = 50\nK:C\ncdef|\n", name="jig.abc")
    assert [tempo.quarters_per_minute for tempo in score.tempi] == [50]


def test_no_title_and_no_composer_are_made_up() -> None:
    named = read_bytes(b"X:1\nT:Lamps\nC:Anon.\nM:4/4\nL:1/4\nK:D\nDFAd|\n", name="lamps.abc")
    assert (named.title, named.composer) == ("Lamps", "Anon.")
    for data in (b"X:1\nM:4/4\nL:1/4\nK:D\nDFAd|\n", KERN):
        nameless = read_bytes(data, name="written")
        assert (nameless.title, nameless.composer) == ("", "")
