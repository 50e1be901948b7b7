"""Played chords become words of the text, at its end or in place of another chord."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.pitch import MeterMap
from harmony.pitch.key import Key
from harmony.workbench.entering.melody import Melody
from harmony.workbench.entering.reading import Meaning, read_played
from harmony.workbench.entering.text import (
    NOTES,
    NUMERALS,
    SYMBOLS,
    append_chord,
    replace_chord,
    write_meaning,
)

C, D_MINOR = Key.from_text("C"), Key.from_text("d")


def mean(numbers: list[int], key: Key = C) -> Meaning:
    return read_played(numbers, key)[0]


@pytest.mark.parametrize(
    ("numbers", "key", "symbol", "numeral"),
    [
        ([60, 64, 67], C, "C", "I"),
        ([53, 57, 60, 62], C, "Dm7/F", "ii65"),
        ([57, 61, 64, 67], D_MINOR, "A7", "V7"),
        ([38, 57, 61, 64, 67], D_MINOR, "A7/D", "A7/D"),
        ([56, 60, 63, 66], C, "Ab(add#6)", "Ger65"),
        ([60, 64, 70], C, "C7(no5)", "V7[no5]/IV"),
        ([36, 43, 52], C, "C/G", "I64"),
    ],
)
def test_a_chord_is_written_with_its_bass(
    numbers: list[int], key: Key, symbol: str, numeral: str
) -> None:
    if symbol == "C/G":
        numbers = [43, 48, 52]
    meaning = mean(numbers, key)
    assert write_meaning(meaning, key, manner=SYMBOLS) == symbol
    assert write_meaning(meaning, key, manner=NUMERALS) == numeral


def test_what_is_no_chord_stands_in_braces_with_its_octaves() -> None:
    assert write_meaning(mean([60, 61, 62]), C, manner=SYMBOLS).startswith("{C4 ")
    assert write_meaning(mean([36, 43, 52]), C, manner=NOTES) == "{C2 G2 E3}"


def test_the_last_bar_is_filled_and_the_next_one_opened() -> None:
    text = "D: I | V7"
    text = append_chord(text, mean([59, 62, 66]), Key.from_text("D"), chords_in_bar=2)
    assert text == "D: I | V7 Bm"
    text = append_chord(text, mean([59, 62, 66]), Key.from_text("D"), chords_in_bar=2)
    assert text == "D: I | V7 Bm | Bm"


def test_a_numeral_in_another_key_brings_it_along() -> None:
    meaning = mean([57, 61, 64, 67], D_MINOR)
    assert append_chord("C: I", meaning, D_MINOR, manner=NUMERALS) == "C: I | d: V7"
    assert append_chord("d: i", meaning, D_MINOR, manner=NUMERALS) == "d: i | V7"
    assert append_chord("", meaning, D_MINOR, manner=NUMERALS) == "d: V7"


def test_after_a_bar_line_or_chords_on_beats_of_their_own_it_still_reads() -> None:
    meaning = mean([60, 64, 67])
    assert append_chord("C: V |", meaning, C) == "C: V | C"
    text = append_chord("C: V b3 V7", meaning, C, chords_in_bar=4)
    slots = parse(text).slots
    assert [slot.figure for slot in slots] == ["V", "V7", "C"]
    assert slots[-1].bar == 2 or slots[-1].onset > slots[-2].onset


def test_a_chosen_chord_is_replaced_and_its_neighbours_stay() -> None:
    text = "6/8 d: i | VII6 | III | IV7"
    meaning = mean([57, 61, 64, 67], D_MINOR)
    assert replace_chord(text, 1, meaning, C, manner=NUMERALS) == "6/8 d: i | V7 | III | IV7"
    with pytest.raises(HarmonyError, match="not in the text any more"):
        replace_chord(text, 9, meaning, C)


def test_text_that_cannot_be_read_is_refused_with_its_own_sentence() -> None:
    with pytest.raises(HarmonyError, match="Q"):
        append_chord("C: I | Q7", mean([60, 64, 67]), C)


def test_a_melody_becomes_a_theme_in_exact_time() -> None:
    melody = Melody(D_MINOR)
    for number, length in ((62, "1"), (61, "1/2"), (62, "3/2"), (None, "1")):
        melody = melody.with_step(number, Fraction(length))
    theme = melody.to_theme(MeterMap.steady("3/4"), title="Tune")
    assert [str(note.pitch) for note in theme.line] == ["D4", "C#4", "D4"]
    assert [note.onset for note in theme.line] == [0, 1, Fraction(3, 2)]
    assert theme.key == D_MINOR
    respelled = melody.without_last().without_last().respelled()
    assert str(respelled.pitches[-1]) == "Db4"
    assert melody.lengthened(Fraction(1)).steps[-1].length == 2


def test_a_melody_without_notes_is_no_theme() -> None:
    with pytest.raises(HarmonyError, match="There is no melody yet"):
        Melody(C).with_step(None, Fraction(1)).to_theme(MeterMap.steady("4/4"))
    with pytest.raises(HarmonyError, match="no note to respell"):
        Melody(C).respelled()
