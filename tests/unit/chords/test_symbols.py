"""Chord symbols as players write them, Harte labels, and what is refused."""

from __future__ import annotations

import pytest

from harmony.chords.chord import Chord
from harmony.chords.kinds import KindDegree, chord_to_kind, kind_to_chord
from harmony.chords.leadsheet import read_symbol
from harmony.chords.naming import chord_symbol, figure_in_key, resolve_quality
from harmony.chords.qualities import find_quality, rows_by_name
from harmony.chords.quality import Degree, Quality
from harmony.chords.roman import read_numeral
from harmony.chords.sonority import read_sonority
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName


def spell(symbol: str) -> str:
    return " ".join(str(name) for name in read_symbol(symbol).names)


SAME = [
    ("Cm", "Cmin", "C-", "Cmi"), ("Cmaj7", "CM7", "CΔ", "CΔ7", "C^7", "Cma7", "Cj7"),
    ("Cm7", "C-7", "Cmin7", "Cmi7"), ("Cø7", "Cm7b5", "Cø", "C-7b5", "Cm7-5", "Cm7(b5)"),
    ("Cdim7", "Co7", "C°7"), ("C+", "Caug", "C(#5)", "C+5"),
    ("C7#5", "C+7", "Caug7", "C7+5", "C7+"),
    ("C7b9", "C7(b9)", "C7-9", "C7addb9"), ("Csus", "Csus4", "C4"), ("C6/9", "C69", "C6add9"),
    ("C7alt", "Calt"), ("Cmmaj7", "CmM7", "Cm(maj7)", "C-Δ7"), ("C(no3)", "Cno3", "Comit3"),
    ("C7sus4", "C7sus", "C7(sus4)"),
    ("B♭7", "Bb7"), ("F♯m", "F#m"), ("Cadd9", "C(add9)"),
    ("C9sus4", "C9sus"), ("Gm7/F", "Gm7/ F"),
]  # fmt: skip


@pytest.mark.parametrize("symbols", SAME, ids=lambda symbols: symbols[0])
def test_ways_of_writing_one_chord(symbols: tuple[str, ...]) -> None:
    assert len({spell(symbol) for symbol in symbols}) == 1


@pytest.mark.parametrize(
    ("symbol", "mark"),
    [("H7", "^^"), ("Cq", " ^"), ("Cmaj7zz", "     ^^"), ("Dm7/H", "   ^^"), ("C7b", "  ^"),
     ("Cmaj77", "     ^"), ("", "^")],
)  # fmt: skip
def test_what_is_no_symbol_is_marked(symbol: str, mark: str) -> None:
    with pytest.raises(TextError) as caught:
        read_symbol(symbol)
    assert caught.value.marked() == f"{symbol}\n{mark}"


def test_every_quality_of_the_table_is_written_as_a_symbol_that_reads_back() -> None:
    root = PitchName("E", -1)
    for name, row in rows_by_name().items():
        chord = Chord(root, row.quality, root)
        again = read_symbol(chord_symbol(chord))
        assert again.pitch_classes == chord.pitch_classes, name


def test_a_numeral_that_cannot_say_the_chord_gives_way_to_a_symbol() -> None:
    assert figure_in_key(read_symbol("C/D"), Key.from_text("C")) == "C/D"
    assert figure_in_key(PitchName("D"), Key.from_text("C"), "min7", PitchName("F")) == "ii65"


@pytest.mark.parametrize(
    ("symbol", "key", "figure"),
    [
        ("A7/C#", "C", "V65/ii"), ("Bdim7", "c", "viio7"), ("Ab", "C", "bVI"), ("D", "C", "V/V"),
        ("D7", "c", "V7/V"), ("F#dim7", "C", "viio7/V"), ("Fm", "C", "iv"), ("C", "c", "V/iv"),
        ("Db/F", "C", "bII6"), ("Eaug", "C", "V+/vi"), ("C7", "C", "V7/IV"),
        ("Bm7b5/D", "C", "viiø65"),
        ("Gsus4", "C", "V[no3][add4]"), ("Cadd9", "C", "I[add9]"), ("C6", "C", "I[add6]"),
    ],
)  # fmt: skip
def test_figures_in_a_key(symbol: str, key: str, figure: str) -> None:
    assert figure_in_key(read_symbol(symbol), Key.from_text(key)) == figure


@pytest.mark.parametrize("figure", ["It6", "Fr43", "Ger65", "Sw43", "Ger65/V"])
def test_augmented_sixths_sound_as_meant_in_musicxml(figure: str) -> None:
    chord = read_numeral(figure, Key.from_text("C"))
    written = chord_to_kind(chord)
    assert written is not None
    again = kind_to_chord(written.root, written.kind, bass=written.bass, degrees=written.degrees)
    assert again is not None
    assert set(again.names) == set(chord.names)
    assert figure_in_key(chord, Key.from_text("C")) == figure


def test_a_sonority_without_a_kind_is_other_with_all_its_degrees() -> None:
    written = chord_to_kind(read_sonority("{C D Eb F#}"))
    assert written is not None
    assert written.kind == "other"
    assert [(d.value, d.alter, d.type) for d in written.degrees] == [
        (2, 0, "add"), (3, -1, "add"), (4, 1, "add")
    ]  # fmt: skip


def test_no_chord_has_no_kind() -> None:
    assert chord_to_kind(None) is None
    assert chord_symbol(None) == "N.C."


def test_names_of_other_tables_resolve() -> None:
    assert resolve_quality("half-diminished").name == "hdim7"
    assert resolve_quality("7").name == "dom7"
    with pytest.raises(HarmonyError, match="not a chord quality"):
        resolve_quality("nice")
    with pytest.raises(HarmonyError, match="known are"):
        kind_to_chord(PitchName("C"), "no-such-kind")
    with pytest.raises(HarmonyError, match="add, alter, subtract"):
        KindDegree(5, 0, "drop")


def test_values_check_themselves() -> None:
    with pytest.raises(HarmonyError):
        Degree(0)
    with pytest.raises(HarmonyError):
        Degree.from_text("x9")
    with pytest.raises(HarmonyError):
        Quality("none", ())
    major = find_quality("maj")
    with pytest.raises(HarmonyError):
        Chord(PitchName("C"), major, PitchName("C"), omitted=major.degrees)


def test_inversions_count_the_member_in_the_bass() -> None:
    assert [read_symbol(s).inversion for s in ("C7", "C7/E", "C7/G", "C7/Bb", "C/D", "C9/D")] == [
        0, 1, 2, 3, None, 4
    ]  # fmt: skip


def test_a_chord_moves_as_a_whole() -> None:
    from harmony.pitch.interval import Interval

    chord = read_sonority("{C2 G2 E3}").transposed(Interval.from_text("M2"), figure="up")
    assert [str(pitch) for pitch in chord.fixed] == ["D2", "A2", "F#3"]
    assert str(chord) == "up"
    assert chord.degree_of(PitchName("F", 1)) == Degree(3)
