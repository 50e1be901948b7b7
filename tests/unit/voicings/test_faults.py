"""What cannot be done is told in one sentence that names rule, chord and voice."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.errors import HarmonyError, NoSolutionError
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.search import weights
from harmony.voicings.api import prepare, voice
from harmony.voicings.rules import KeepsShape, NoConsecutivePerfects, RuleSet

CHOIR = "SATB choir"


def fault_of(*args, **kwargs):
    with pytest.raises(HarmonyError) as caught:
        voice(*args, **kwargs)
    assert str(caught.value).count(". ") == 0
    assert str(caught.value).endswith(".")
    return caught.value


@pytest.mark.parametrize(
    ("pins", "sentence", "voice_name"),
    [
        (["1.1 Soprano=C7"], "its register is C4 to G5", "Soprano"),
        (["1.1 Soprano=F4"], "I has the notes C, E and G", "Soprano"),
        (["1.1 Soprano=C5", "1.1 Alto=G3"], "together with Soprano=C5", "Alto"),
    ],
)
def test_a_pin_that_cannot_be(pins, sentence, voice_name):
    fault = fault_of("C: I V I", CHOIR, pins=pins)
    assert isinstance(fault, NoSolutionError)
    assert sentence in fault.message
    assert (fault.rule, fault.chord, fault.voice) == ("pin", "I", voice_name)
    assert fault.where == "bar 1 beat 1"


def test_a_pin_that_can_never_be_is_to_blame_before_those_it_leaves_no_room():
    registers = {"2 Alto": "C4-D4"}
    pins = ["3.1 Soprano=G4", "3.1 Tenor=C4", "3.1 Alto=E4"]
    fault = fault_of("C: I | V | I", CHOIR, pins=pins, registers=registers)
    assert fault.voice == "Alto"
    assert "its register from bar 2 on is C4 to D4" in fault.message


def test_a_pin_against_a_given_line_names_the_line():
    names = ("C5", "B4", "C5")
    tune = Line(
        tuple(
            Note(Fraction(4 * place), Fraction(4), Pitch.from_text(name))
            for place, name in enumerate(names)
        )
    )
    fault = fault_of("C: I | V | I", CHOIR, pins=["3.1 Soprano=E5"], melody=tune)
    assert "the line it is given has C5 there; let go of the note or of the line" in fault.message


@pytest.mark.parametrize(
    ("pins", "sentence"),
    [
        (["9.1 Soprano=C5"], "No chord sounds at bar 9 beat 1"),
        (["Soprano C5"], 'write BAR.BEAT VOICE=PITCH, such as "2.1 Soprano=D5"'),
        (["1.1 Flute=C5"], "has no voice called 'Flute'; it has Soprano, Alto, Tenor, Bass"),
        (["1.1 Soprano=H5"], "'H5' is not a pitch"),
        (["1.1 Soprano=C5", "1.1 Soprano=E5"], "pinned to both C5 and E5 at bar 1 beat 1"),
    ],
)
def test_a_pin_that_cannot_be_read(pins, sentence):
    assert sentence in fault_of("C: I V I", CHOIR, pins=pins).message


@pytest.mark.parametrize(
    ("registers", "sentence"),
    [
        ({"Soprano": "G5-C4"}, "upside down"),
        ({"Soprano": "high"}, "write LOW-HIGH, such as C4-E5"),
        (["Soprano C4-G5"], "write VOICE=LOW-HIGH, such as Soprano=C4-E5"),
        ({"Oboe": "C4-G5"}, "has no voice called 'Oboe'"),
    ],
)
def test_a_register_that_cannot_be_read(registers, sentence):
    assert sentence in fault_of("C: I V I", CHOIR, registers=registers).message


@pytest.mark.parametrize("weight", [-1, float("nan"), float("inf"), 1e7, "much", None])
def test_a_weight_that_is_no_weight(weight):
    fault = fault_of("C: I V I", CHOIR, weights={"motion": weight})
    assert "a number from 0 to 1000000" in fault.message
    assert fault.where == "motion"


def test_an_unknown_term_suggests_the_nearest():
    fault = fault_of("C: I V I", CHOIR, weights={"motoin": 1})
    assert "did you mean 'motion'?" in fault.message


def test_weights_too_large_to_add_up_exactly_are_refused(monkeypatch):
    problem = prepare("C: I V7 I", "string quartet")
    monkeypatch.setattr(weights, "DOUBLE_LIMIT", 2**30)
    heavy = dict.fromkeys(problem.preset.weights, 1_000_000.0) | {"leaps": 0.0001}
    with pytest.raises(HarmonyError, match="too large beside the others"):
        problem.best(heavy)
    assert problem.best().outcome.status == "optimal"


def test_a_chord_with_more_notes_than_voices():
    fault = fault_of("{C E G# B D}", CHOIR)
    assert "5 different notes, and SATB choir has 4 voices" in fault.message
    assert (fault.rule, fault.chord) == ("completeness", "{C E G# B D}")


def test_notes_as_they_stand_are_told_apart_by_what_is_in_the_way():
    fault = fault_of("{C2 G2 E3 C4 G4 E5}", "string quartet")
    assert "has 6 notes, and string quartet has 4 voices" in fault.message
    fault = fault_of("{C2 G2 E3 C4}", "string quartet")
    assert (fault.rule, fault.voice) == ("register", "Viola")
    assert fault.message.startswith("G2 of {C2 G2 E3 C4} at bar 1 beat 1 falls to Viola")
    fault = fault_of("{C2 G2 E3}", CHOIR)
    assert (fault.rule, fault.voice) == ("register", None)
    assert "C2 of {C2 G2 E3} at bar 1 beat 1 lies in the register of no voice" in fault.message


def test_a_bass_out_of_reach_names_the_voice():
    fault = fault_of("C: I | V", CHOIR, registers={"Bass": "C3-D3"})
    assert (fault.rule, fault.chord, fault.voice) == ("the given bass note", "V", "Bass")
    assert fault.where == "bar 2 beat 1"


def test_a_voice_out_of_reach_is_named():
    fault = fault_of("C: I", CHOIR, registers={"Soprano": "D4-Eb4"})
    assert fault.voice == "Soprano"
    assert fault.chord == "I"


def test_a_rule_on_steps_that_bars_every_way_is_named():
    problem = prepare("C: I | V", CHOIR, RuleSet(steps=(KeepsShape(tolerance=0),)))
    pins = ["1.1 Soprano=C5", "1.1 Alto=E4", "2.1 Soprano=B4", "2.1 Alto=G4"]
    with pytest.raises(NoSolutionError) as caught:
        problem.best(pins=pins)
    assert caught.value.rule == "keep the shape"
    assert caught.value.chord == "V"
    assert "take a pin there away" in caught.value.message


def test_pins_that_force_consecutives_under_the_strict_rule():
    problem = prepare("C: I | ii", CHOIR, RuleSet(steps=(NoConsecutivePerfects(),)))
    pins = ["1.1 Tenor=G3", "1.1 Bass=C3", "2.1 Tenor=A3", "2.1 Bass=D3"]
    with pytest.raises(NoSolutionError, match="no consecutive perfects"):
        problem.best(pins=pins)


@pytest.mark.parametrize(("count", "unlike"), [(0, 0), (-3, 0), (2, 9), (2, -1)])
def test_counts_that_make_no_sense(count, unlike):
    assert "ask for" in fault_of("C: I V I", CHOIR, count=count, unlike=unlike).message


def test_the_last_good_result_outlives_a_bad_request():
    problem = prepare("C: I V7 I", CHOIR)
    before = problem.best()
    for bad in ({"motion": -1}, {"nothing": 1}):
        with pytest.raises(HarmonyError):
            problem.best(bad)
    assert problem.best().pitches == before.pitches
