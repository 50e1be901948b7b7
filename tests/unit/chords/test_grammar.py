"""Progressions typed in a box: bars, beats, keys, meters, signs, and what is said of faults."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.chords.api import parse
from harmony.chords.progression import Progression
from harmony.errors import HarmonyError, TextError


def tell(text: str, **given: str) -> list[str]:
    """Write each chord as bar.beat figure (duration)."""
    return [
        f"{slot.bar}.{float(slot.beat):g} {slot.figure} ({slot.duration})"
        for slot in parse(text, **given)
    ]


def names(progression: Progression) -> list[str]:
    return [" ".join(slot.sounding) for slot in progression]


def test_the_worked_example_of_the_design() -> None:
    slots = parse("D: I V6 | ii65 b3 V7 | I").to_json()["slots"]
    assert slots[1] == {
        "bar": 1, "beat": 3, "offset": 2, "duration": 2, "key": "D", "figure": "V6",
        "root": "A", "quality": "maj", "bass": "C#", "pitches": ["C#", "A", "E"],
    }  # fmt: skip
    assert [slot["quality"] for slot in slots] == ["maj", "maj", "min7", "dom7", "maj"]


def test_chord_symbols_and_numerals_mix_bar_by_bar() -> None:
    text = "Dmaj7 A/C# | D: V7 | E7sus4 E7b9 | F#ø7 | N.C."
    assert tell(text) == [
        "1.1 Dmaj7 (2)", "1.3 A/C# (2)", "2.1 V7 (4)", "3.1 E7sus4 (2)", "3.3 E7b9 (2)",
        "4.1 F#ø7 (4)", "5.1 N.C. (4)",
    ]  # fmt: skip
    slots = parse(text).slots
    assert [slot.key is None for slot in slots[:2]] == [True, True]
    assert str(slots[-1].key) == "D"


def test_chords_share_their_bar_and_beats_place_them() -> None:
    assert tell("C: I IV V") == ["1.1 I (4/3)", "1.2.33333 IV (4/3)", "1.3.66667 V (4/3)"]
    assert tell("C: I b2.5 IV b4 V") == ["1.1 I (3/2)", "1.2.5 IV (3/2)", "1.4 V (1)"]
    assert tell("C: I b3 IV V") == ["1.1 I (2)", "1.3 IV (1)", "1.4 V (1)"]


def test_a_beat_in_thirds_is_exact() -> None:
    assert parse("C: I b2.33 V").slots[1].onset == Fraction(4, 3)
    assert parse("C: I b7/3 V").slots[1].onset == Fraction(4, 3)
    assert parse("C: I b2.667 V").slots[1].onset == Fraction(5, 3)


def test_a_chord_sounds_on_until_the_next() -> None:
    assert tell("C: I | b3 V | | I") == ["1.1 I (6)", "2.3 V (6)", "4.1 I (4)"]


def test_the_first_chord_after_the_first_beat_makes_a_pickup() -> None:
    progression = parse("3/4 G: b3 I | IV6 b3 V6 | I")
    assert [slot.bar for slot in progression] == [0, 1, 1, 2]
    assert progression.meters.pickup == 1
    assert [slot.onset for slot in progression] == [0, 1, 3, 4]


def test_bar_numbers_may_be_given() -> None:
    assert tell("m0 b4 C: V | I | m5 IV") == ["0.4 V (1)", "1.1 I (16)", "5.1 IV (4)"]


def test_meters_and_keys_change_at_bars_and_keys_within_them() -> None:
    text = "3/4 D: I | V7 | 6/8 b: i V | 2/4 A: V b2 f#: V/iv"
    assert tell(text) == ["1.1 I (3)", "2.1 V7 (3)", "3.1 i (3/2)", "3.2 V (3/2)", "4.1 V (1)",
                          "4.2 V/iv (1)"]  # fmt: skip
    assert [str(slot.key) for slot in parse(text)] == ["D", "D", "b", "b", "A", "f#"]


@pytest.mark.parametrize(
    ("text", "key"),
    [("Abb: I", "Abb"), ("d#: i", "d#"), ("B♭: I", "Bb"), ("B-: I", "Bb"), ("Ddor: i", "D dorian"),
     ("D dorian: i", "D dorian"), ("Eb:I", "Eb")],
)  # fmt: skip
def test_keys_in_any_spelling(text: str, key: str) -> None:
    assert str(parse(text).slots[0].key) == key


def test_key_and_meter_may_be_given_apart() -> None:
    assert tell("I V", key="Eb", meter="3/4") == ["1.1 I (3/2)", "1.2.5 V (3/2)"]
    assert names(parse("I", key="Eb")) == ["Eb G Bb"]


def test_percent_repeats_the_bar_before() -> None:
    assert tell("C: I V | % | %") == ["1.1 I (2)", "1.3 V (2)", "2.1 I (2)", "2.3 V (2)",
                                      "3.1 I (2)", "3.3 V (2)"]  # fmt: skip
    assert tell("C: I | b3 V | %")[-2:] == ["3.1 I (2)", "3.3 V (2)"]


def test_percent_after_a_numeral_is_half_diminished() -> None:
    assert names(parse("C: vii%7 ii%65/V")) == ["B D F A", "C A Eb G"]


def test_slashes_beat_time() -> None:
    assert tell("C / / G7 | / / F /") == ["1.1 C (3)", "1.4 G7 (1)", "2.1 G7 (2)", "2.3 F (2)"]


def test_double_bars_end_a_section_or_mark_a_phrase() -> None:
    assert tell("C: I || V") == ["1.1 I (4)", "2.1 V (4)"]
    assert tell("C: I || b3 V | I") == ["1.1 I (2)", "1.3 V (2)", "2.1 I (4)"]
    assert tell("C: |: I | V :| I ||") == ["1.1 I (4)", "2.1 V (4)", "3.1 I (4)"]


def test_lines_are_bars() -> None:
    assert tell("3/4 D: I | V7\n4/4 I | V |\n| I ||\n") == [
        "1.1 I (3)", "2.1 V7 (3)", "3.1 I (4)", "4.1 V (4)", "5.1 I (4)"
    ]  # fmt: skip


def test_figures_that_move_are_two_chords() -> None:
    assert names(parse("C: V4-3 | V64-53 | I")) == ["G C D", "G B D", "G C E", "G B D", "C E G"]


def test_a_sonority_stands_as_it_is() -> None:
    slot = parse("{C2 G2 E3 Bb3 F#4}").slots[0]
    assert slot.sounding == ("C2", "G2", "E3", "Bb3", "F#4")
    assert slot.chord is not None
    assert (str(slot.chord.bass), slot.chord.quality.name) == ("C", "dom7#11")


def test_names_in_braces_are_pitch_classes_over_the_first() -> None:
    chord = parse("{E G# B D C}").slots[0].chord
    assert chord is not None
    assert str(chord.names[0]) == "E"
    assert {str(name) for name in chord.names} == {"C", "E", "G#", "B", "D"}
    known = parse("{E G C}").slots[0].chord
    assert known is not None
    assert (str(known.root), known.quality.name, known.inversion) == ("C", "maj", 1)


def test_stacked_names_keep_their_order() -> None:
    chord = parse("{F Bb Eb Ab, stacked}").slots[0].chord
    assert chord is not None
    assert chord.stacked
    assert [str(name) for name in chord.names] == ["F", "Bb", "Eb", "Ab"]


def test_one_chord_over_another() -> None:
    slot = parse("D over C").slots[0]
    assert slot.figure == "D over C"
    assert slot.sounding == ("C", "E", "G", "D", "F#", "A")
    assert names(parse("C: V7 over I")) == ["C E G B D F"]


def test_a_pedal_is_held_and_the_chords_are_read_without_it() -> None:
    progression = parse("pedal D [ G: I | V7 ] IV | pedal A above [ V ]")
    slots = progression.to_json()["slots"]
    assert [(slot["figure"], slot["bass"], slot["quality"]) for slot in slots] == [
        ("I", "D", "maj"), ("V7", "D", "dom7"), ("IV", "C", "maj"), ("V", "D", "maj")
    ]  # fmt: skip
    assert slots[0]["pitches"] == ["D", "G", "B"]
    assert slots[3]["pitches"] == ["D", "F#", "A"]
    assert [slot.get("pedal") for slot in slots] == ["D", "D", None, "A"]


def test_harte_labels_are_told_from_keys() -> None:
    assert names(parse("D:maj7/3 G:(1,5) A:sus4(b7) | D: V")) == [
        "F# D A C#", "G D", "A D E G", "A C# E"
    ]  # fmt: skip


def test_brackets_and_blanks_analysts_write() -> None:
    assert names(parse("C: ( vii ) V/ V | (V7) V [no5]")) == ["B D F#", "D F# A",
                                                            "G B D F", "G B"]  # fmt: skip


FAULTS = [
    ("Xq7 | I", "Xq7 | I\n^^^", "In bar 1, 'Xq7' is not a chord", "bar 1, column 1"),
    ("C: I | Vx7", "C: I | Vx7\n        ^^", "In bar 2, 'Vx7' is not a Roman", "bar 2, column 9"),
    ("C - F", "C - F\n  ^", "'-' is not a chord: blanks between chords and |", "bar 1, column 3"),
    ("C: I-V-I", "C: I-V-I\n   ^^^^^", "did you mean 'I V I'?", "bar 1, column 4"),
    ("C major", "C major\n  ^^^^^", "a key with a colon, such as C major:", "bar 1, column 3"),
    ("C maj7", "C maj7\n  ^^^^", "a note right before it, as in Cmaj7", "bar 1, column 3"),
    ("I V", "I V\n^", "In bar 1, 'I' has no key", "bar 1, column 1"),
    ("C: I b3 | V", "C: I b3 | V\n     ^^", "After 'b3' a chord is missing", "bar 1, column 6"),
    ("C: I b9 V", "C: I b9 V\n        ^", "4/4 has beats 1 to 4", "bar 1, column 9"),
    ("C: b3 I b2 V", "C: b3 I b2 V\n           ^", "beats rise within a bar", "bar 0, column 12"),
    ("C: V[no5", "C: V[no5\n    ^^^^", "is not closed", "column 5"),
    ("C: I | pedal D [ V", "C: I | pedal D [ V\n       ^^^^^^^^^", "pedal is not closed", "bar 2"),
    ("%", "%\n^", "has no bar before it", "bar 1, column 1"),
    ("C: I V | % I", "C: I V | % I\n         ^", "stands beside other chords", "bar 2, column 10"),
    ("C: I 3/4 V", "C: I 3/4 V\n     ^^^", "inside bar 1", "bar 1, column 6"),
    ("", "\n^", "has no chord", "bar 1, column 1"),
    ("C: I ] V", "C: I ] V\n     ^", "closes nothing", "bar 1, column 6"),
    ("{C4 E}", "{C4 E}\n    ^", "without an octave", "bar 1, column 5"),
    ("C over", "C over\n  ^^^^", "a chord is missing", "bar 1, column 3"),
    ("C | Dm7x", "C | Dm7x\n       ^", "In bar 2, 'Dm7x' is not a chord symbol", "bar 2, column 8"),
    ("7/0 C", "7/0 C\n^^^", "its lower figure is 1, 2", "bar 1, column 1"),
    ("m3 C | m2 D", "m3 C | m2 D\n       ^^", "cannot stand here", "bar 4"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "marked", "message", "where"), FAULTS, ids=lambda x: str(x)[:20])
def test_a_fault_is_marked_placed_and_told(
    text: str, marked: str, message: str, where: str
) -> None:
    with pytest.raises(TextError) as caught:
        parse(text)
    assert caught.value.marked() == marked
    assert message in caught.value.message
    assert where in (caught.value.where or "")
    assert caught.value.message.count("\n") == 0


@pytest.mark.parametrize(
    ("word", "near"),
    [("dm7", "Dm7"), ("h", "B"), ("Iv", "IV"), ("V66x", "V6"), ("Cmaj77", None)],
)
def test_a_near_reading_is_suggested(word: str, near: str | None) -> None:
    with pytest.raises(TextError) as caught:
        parse(f"C: {word}")
    if near is not None:
        assert caught.value.suggestion == near
        assert near in caught.value.message


def test_a_text_must_be_text() -> None:
    with pytest.raises(HarmonyError, match="A progression is text"):
        parse(17)  # type: ignore[arg-type]


def test_five_hundred_chords_and_one() -> None:
    assert len(parse("C: " + " | ".join(["I V"] * 250))) == 500
    assert len(parse("C")) == 1


def test_to_rows_has_a_row_a_chord() -> None:
    rows = parse("C: I V").to_rows()
    assert [row["pitches"] for row in rows] == ["C E G", "G B D"]
    with pytest.raises(HarmonyError):
        parse("C").to_rows(2)


@pytest.mark.parametrize(
    ("word", "stages"),
    [
        ("V4-3", ("V(4)", "V")), ("V74-3/V", ("V7(4)/V", "V7/V")), ("V7(4-3)", ("V7(4)", "V7")),
        ("V64-53", ("V(64)", "V")), ("V64-7", ("V(64)", "V7")), ("V54-3", ("V(4)", "V")),
        ("V8/6/4-7/5/3", ("V(64)", "V7")), ("V7b9-8", ("V7(b9)", "V7")), ("V8-7", ("V", "V7")),
        ("I5-6", ("I", "I(6)")), ("vi7-6", ("vi(7)", "vi(6)")), ("V9/4-8/3/V", ("V(94)/V", "V/V")),
    ],
)  # fmt: skip
def test_moving_figures_keep_what_stays(word: str, stages: tuple[str, str]) -> None:
    assert tuple(slot.figure for slot in parse(f"C: {word}")) == stages


@pytest.mark.parametrize("word", ["ii64-3", "V6-9", "I-IV", "V4-3-4", "V5/3-6/4/2"])
def test_figures_that_do_not_move_by_step_are_refused(word: str) -> None:
    with pytest.raises(TextError, match="is not a"):
        parse(f"C: {word}")
