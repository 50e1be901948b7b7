"""Numerals as analysts write them: every way of writing the same chord, and what is refused."""

from __future__ import annotations

import pytest

from harmony.chords.numeral import DEEPEST
from harmony.chords.roman import read_numeral
from harmony.errors import TextError
from harmony.pitch.key import Key

C, C_MINOR = Key.from_text("C"), Key.from_text("c")


def spell(figure: str, key: Key = C) -> str:
    return " ".join(str(name) for name in read_numeral(figure, key).names)


SAME = [
    ("viiø7", "vii/o7", "viiø/7", "vii%7", "vii/ø7"),
    ("iiø65", "ii/o65", "ii/o6/5", "ii%6/5", "iiø6/5"),
    ("V65/V", "V6/5/V", "V6/5/V?", "V653/V"),
    ("viio7", "vii°7", "viio/7", "vii07", "viiº7"),
    ("Cad64", "Cad6/4", "Cad", "CadI64", "I64", "K64"),
    ("Ger65", "Ger6/5", "Ger", "Ger6", "Gn65", "Ger+6"),
    ("Fr43", "Fr4/3", "Fr6", "Fr"),
    ("It6", "It", "It+6"),
    ("V42", "V2", "V4/2", "V642", "V62"),
    ("IVd65", "IVdom65", "V65/bVII"),
    ("bII6", "N6", "N63", "bII63"),
    ("I[no3][no5]", "I[no3no5]", "I[no3,no5]", "I[no3 no5]"),
    ("V[no3][add4]", "V54", "Vsus4", "V(4)", "V[sus4]", "V4"),
    ("V7sus4", "V74", "V7(4)", "V754"),
    ("V9[b9]", "V7b9", "V7[b9]", "V7[addb9]", "Vb9", "V7(+b9)"),
    ("V+7", "V7[#5]", "V7#5", "V7+5"),
    ("ivø7", "iv7b5", "iv7[b5]"),
    ("bVIM7", "bVI7", "bVImaj7", "bVI7[maj7]", "-VI7"),
    ("V7/V/V/V", "V7/VI"),
    ("V7/bII", "V7/N"),
    ("I69", "I6/9", "I[add6][add9]"),
    ("I6", "Ib", "I⁶", "I^6"), ("I64", "Ic", "I⁶₄", "I^6_4"), ("V65/V", "V7b/V", "V⁶₅/V"),
    ("V43", "V7c"), ("V42", "V7d", "V4/2"), ("ii65", "ii7b"), ("vii°7", "vii˚7", "viio⁷"),
    ("viiø7", "vii∅7", "viiφ7", "viih7", "viihd7", "viihdim7", "viihalf-dim7", "viiom7"),
    ("iiø65", "iihd65", "iih65", "ii%65"), ("ii7", "ii-7", "iim7", "IIm7", "II-7"),
    ("i", "i-", "im", "Im"), ("viio7", "viioD7"), ("V9", "V9a"), ("V765", "V9b"), ("V543", "V9c"),
    ("V7b5", "V7-5"), ("V7#9", "V7+9"), ("V7#5", "V7+5"), ("IM7", "I△7", "I∆7"), ("V+", "V⁺"),
    ("It6", "Lt6", "Ital6", "Italian6"), ("Ger65", "German65", "Germ65", "Gr+6"),
    ("Fr43", "French"),
    ("N6", "Neap6", "Np6", "Neapolitan6"), ("Cad64", "CadV64"), ("CTo7", "ct°7", "CT°7"),
    ("V65(4)", "V65[sus4]"), ("I532", "I[add2]"), ("I[addb6]", "I[add-6]"),
    ("Ger65", "CTGer65", "ger65"), ("Fr43", "fr43"), ("It6", "it6"),
]  # fmt: skip


@pytest.mark.parametrize("figures", SAME, ids=lambda figures: figures[0])
def test_ways_of_writing_one_chord(figures: tuple[str, ...]) -> None:
    spelled = {(frozenset(spell(f).split()), spell(f).split()[0]) for f in figures}
    assert len(spelled) == 1


@pytest.mark.parametrize(
    ("figure", "expected"),
    [
        ("#viio43[no3][add4]", "F# B# A E"), ("V74", "G C D F"), ("bII2", "C Db F Ab"),
        ("IVd65", "A F C Eb"), ("viio7/V/V", "C# E G Bb"), ("Ger7/V", "C# Eb G Bb"),
        ("V7/bVI", "Eb G Bb Db"), ("I+6", "E C G#"), ("CTo7", "D# F# A C"), ("CTo42", "C D# F# A"),
        ("It53", "F# Ab C"), ("iv7b5", "F Ab Cb Eb"), ("V(64)", "G C E"), ("subV7", "Db F Ab Cb"),
        ("bbVII", "Bbb Db Fb"), ("V7alt", "G B Db D# F Ab A#"), ("V7b13", "G B D F Eb"),
        ("V765", "B G D F A"), ("V65[no3]", "D G F"), ("V[no1]", "B D"), ("Ger65[no5]", "Ab F# Eb"),
        ("IId7", "D F# A C"), ("iid7", "D F# A C"), ("IVm7", "F Ab C Eb"), ("ii6sus4", "G D A"),
        ("viio7[#5]", "B D F# Ab"), ("V65(4)", "C G D F"), ("ii6/5/4", "D G A B"),
        ("V7/V/ii", "E G# B D"), ("V/V[no3]", "D A"), ("viiio", "B D F"), ("VIII", "B D# F#"),
    ],
)  # fmt: skip
def test_figures_from_open_analyses(figure: str, expected: str) -> None:
    assert spell(figure) == expected


@pytest.mark.parametrize(
    ("figure", "expected"),
    [
        ("#viio7", "E G Bb Db"), ("viio7", "E G Bb Db"), ("vi", "D F A"), ("#vi", "D F A"),
        ("VI", "Db F Ab"), ("bVI", "Db F Ab"), ("bvi", "Db Fb Ab"), ("bIII", "Ab C Eb"),
        ("VII", "Eb G Bb"), ("V9", "C E G Bb Db"), ("i[add#7]", "F Ab C E"), ("IV7", "Bb D F Ab"),
        ("V9[b9]", "C E G Bb Db"), ("Cad64", "C F Ab"), ("iiø65", "Bb G Db F"),
    ],
)  # fmt: skip
def test_minor_names_the_raised_degrees_once(figure: str, expected: str) -> None:
    assert spell(figure, Key.from_text("f")) == expected


@pytest.mark.parametrize(
    ("figure", "key", "expected"),
    [
        ("V#", "c", "G B D"), ("i#", "c", "C E G"), ("V♮", "d", "A C E"), ("IV♮", "A", "D F A"),
        ("V7/#", "a", "E G# B D"), ("V7[n9]", "c", "G B D F A"), ("V7n9", "A", "E G# B D F"),
        ("V[n3]", "A", "E G B"), ("ii♮6/5", "Db", "Gb E Bb Db"),
    ],
)  # fmt: skip
def test_accidentals_alone_and_naturals_mean_what_they_mean_in_figured_bass(
    figure: str, key: str, expected: str
) -> None:
    assert spell(figure, Key.from_text(key)) == expected


def test_modes_have_their_own_degrees() -> None:
    assert spell("IV", Key.from_text("D dorian")) == "G B D"
    assert spell("ii7", Key.from_text("D dorian")) == "E G B D"
    assert spell("II", Key.from_text("F lydian")) == "G B D"
    assert spell("bII", Key.from_text("E phrygian")) == "F A C"


@pytest.mark.parametrize(
    ("figure", "mark"),
    [("Vx7", " ^^"), ("V7/", "  ^"), ("V[no", " ^^^"), ("V7/Q", "   ^"), ("V[zz]", "  ^^"),
     ("X", "^"), ("VV", "^^"), ("I/3", " ^^"), ("V9-8", "  ^^"), ("II-9", "  ^^"), ("V5b", "  ^"),
     ("N6I", "  ^"), ("", "^")],
)  # fmt: skip
def test_what_is_no_numeral_is_marked(figure: str, mark: str) -> None:
    with pytest.raises(TextError) as caught:
        read_numeral(figure, C)
    assert caught.value.marked() == f"{figure}\n{mark}"


def test_chains_of_applied_chords_end() -> None:
    assert read_numeral("V" + "/V" * 3, C).root
    with pytest.raises(TextError, match="applied chords in a chain"):
        read_numeral("V" + "/V" * (DEEPEST + 1), C)


def test_nothing_is_applied_to_an_augmented_sixth() -> None:
    with pytest.raises(TextError, match="cannot be applied"):
        read_numeral("V7/It6", C)


def test_a_spelling_beyond_reading_is_refused_in_words() -> None:
    with pytest.raises(TextError, match="not a spelling a player could read"):
        read_numeral("#########I", C)


def test_a_chord_without_notes_is_refused() -> None:
    with pytest.raises(TextError, match="no notes left"):
        read_numeral("I[no1][no3][no5]", C)


def test_every_quality_of_the_harmonise_command_has_a_numeral_in_minor() -> None:
    expected = {
        "i": "min", "III": "maj", "iio": "dim", "III+": "aug", "V7": "dom7", "VI7": "maj7",
        "iv7": "min7", "iiø7": "hdim7", "viio7": "dim7",
    }  # fmt: skip
    assert {f: read_numeral(f, C_MINOR).quality.name for f in expected} == expected
