from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmony.errors import HarmonyError
from harmony.pitch import Interval, Pitch
from harmony.themes import continuing, modes, phrase, rhythm, transform
from harmony.themes.api import vary
from harmony.themes.operations import list_examples
from tests.unit.themes.lines import lengths, shuttle, spell, theme_from_text


@pytest.mark.parametrize("example", list_examples())
def test_every_example_works_and_is_remembered(example):
    varied = vary(shuttle(), example)
    assert varied.derived
    assert varied.to_json()["notes"]
    assert varied.theme.parent[0] == "theme"


@pytest.mark.parametrize(
    "name",
    ["transposition down a third", "chromatic inversion about E4", "displacement by 1/2 early",
     "sequence of 1 bar down a second 2 times", "diminution", "interval contraction by 2",
     "continuation after 2 bars for 4 bars to degree 1 dip"],
)  # fmt: skip
def test_capitals_change_nothing(name):
    expected = spell(vary(shuttle(), name).theme)
    capitals = " ".join(word.capitalize() for word in name.split())
    assert spell(vary(shuttle(), capitals).theme) == expected


@pytest.mark.parametrize("dance", list(rhythm.dances()))
def test_a_dance_fills_its_bars_and_keeps_every_note(dance):
    varied = vary(shuttle(), dance).theme
    bar = rhythm.dances()[dance].meter.bar_quarters
    assert varied.line.end % bar == 0
    kept = spell(varied).split()
    for pitch in set(spell(shuttle()).split()):
        assert kept.count(pitch) >= spell(shuttle()).split().count(pitch)


@pytest.mark.parametrize("scale", list(modes.scales()))
def test_a_mode_gives_only_its_own_notes(scale):
    from harmony.pitch import transpose

    varied = modes.change_mode(shuttle(), scale)
    tonic = shuttle().key.tonic
    allowed = {transpose(tonic, i).pitch_class for i in modes.scales()[scale].intervals}
    assert {note.pitch.pitch_class for note in varied.line.sounding} <= allowed


def test_operations_chain_in_order():
    varied = vary(shuttle(), "bars 1-2", "retrograde", "augmentation by 2")
    assert varied.derived == ("bars 1 to 2", "retrograde", "augmentation by 2")
    assert spell(varied.theme).startswith("A4 B4 E5 E5")
    assert varied.theme.line.end == 16


@given(st.sampled_from(["A4", "D5", "F#4", "Bb5"]))
def test_inversion_twice_about_one_axis_gives_the_theme_back(axis):
    pitch = Pitch.from_text(axis)
    twice = transform.invert_real(transform.invert_real(shuttle(), pitch), pitch)
    assert spell(twice) == spell(shuttle())
    twice = transform.invert_diatonic(transform.invert_diatonic(shuttle(), pitch), pitch)
    assert spell(twice) == spell(shuttle())


def test_retrograde_twice_gives_the_theme_back():
    assert transform.reverse(transform.reverse(shuttle())).line == shuttle().line


@given(st.fractions(Fraction(1, 4), 4, max_denominator=6))
def test_augmentation_and_diminution_by_one_ratio_undo_each_other(ratio):
    there = rhythm.stretch(shuttle(), ratio)
    back = rhythm.stretch(there, 1 / ratio)
    assert back.line == shuttle().line


@pytest.mark.parametrize(
    ("meter", "expected"),
    [
        ("3/4", ["1", "1", "1/2", "1/2", "3"]),  # the half bar stays on a beat
        ("12/8", ["3/2", "3/2", "3/2", "3/2", "6"]),
        ("2/4", ["1/2", "1/2", "1/2", "1/2", "2"]),
    ],
)
def test_in_another_meter_accents_stay_on_beats(meter, expected):
    theme = theme_from_text("C4 D4 E4 F4 G4/4")
    from harmony.pitch import Meter

    varied = rhythm.change_meter(theme, Meter.from_text(meter))
    assert lengths(varied) == [Fraction(text) for text in expected]


@pytest.mark.parametrize("old", ["2/4", "3/4", "4/4", "5/4", "6/8", "9/8", "7/8", "3+2/8"])
@pytest.mark.parametrize("new", ["2/4", "3/4", "4/4", "5/4", "6/8", "9/8", "12/8", "2+3/8"])
def test_no_note_is_lost_or_squeezed_to_nothing_in_any_other_meter(old, new):
    from harmony.pitch import Meter

    count = Meter.from_text(old).count
    text = " ".join(["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5"][:count])
    theme = theme_from_text(text, meter=old, unit=str(Meter.from_text(old).unit_quarters))
    varied = rhythm.change_meter(theme, Meter.from_text(new))
    assert spell(varied) == spell(theme)
    assert min(lengths(varied)) > 0
    assert varied.line.end == Meter.from_text(new).bar_quarters


def test_halves_become_long_and_short_where_beats_divide_in_three():
    theme = theme_from_text("C4/1/2 D4/1/2 E4 F4/2".replace("/1/2", "/0.5"))
    from harmony.pitch import Meter

    varied = rhythm.change_meter(theme, Meter.from_text("12/8"))
    assert lengths(varied)[:2] == [1, Fraction(1, 2)]


def test_tonal_answer_answers_the_dominant_of_the_head_by_the_tonic():
    # common practice: 1-5 is answered by 5-1
    theme = theme_from_text("C4 G4 E4 F4 D4/4", key="C")
    assert spell(transform.answer_tonally(theme)) == "G4 C5 B4 C5 A4"


def test_a_fragment_outside_the_theme_names_its_bars():
    with pytest.raises(HarmonyError, match="it has bars 1 to 8"):
        phrase.take_bars(shuttle(), 7, 12)


@pytest.mark.parametrize("contour", ["rise", "fall", "arch", "dip"])
@pytest.mark.parametrize("degree", [1, 3, 5])
def test_a_continuation_keeps_the_beginning_and_closes_where_asked(contour, degree):
    continued = continuing.continue_otherwise(
        shuttle(), 2, bars=4, closing_degree=degree, contour=contour
    )
    assert spell(continued).startswith("A4 A4 D5 C5 D5 C5 B4 D5 E5 E5 B4 A4")
    assert continued.line.end == 24
    last = continued.line.sounding[-1].pitch
    assert last.name == shuttle().key.degree(degree)


def test_ornament_removed_leaves_the_weighty_notes():
    theme = theme_from_text("C4/0.5 D4/0.5 E4 F4/0.5 E4/0.5 D4 C4/4")
    assert spell(phrase.remove_ornament(theme)) == "C4 E4 F4 E4 D4 C4" or len(
        phrase.remove_ornament(theme).line
    ) < len(theme.line)


def test_real_transposition_moves_the_key():
    varied = transform.transpose_real(shuttle(), Interval.from_text("m3"))
    assert str(varied.key) == "F dorian"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("retrogrde", "did you mean 'retrograde'"),
        ("augmentation by 0", "cannot be stretched by 0"),
        ("mode klezmerish", "is not a scale known here"),
        ("dance jitterbug", "is not a dance known here"),
        ("bars 9-4", "are not in the theme"),
        ("bar 7 beat 1.5: C4 becomes D4", "No C4 begins at bar 7 beat 1.5"),
        ("interval expansion by 0", "cannot be widened by 0"),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(name, words):
    with pytest.raises(HarmonyError) as fault:
        vary(shuttle(), name)
    assert words in fault.value.message


def test_vary_needs_a_name():
    with pytest.raises(HarmonyError, match="Say what to do"):
        vary(shuttle())
