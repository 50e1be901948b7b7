from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harmony.errors import HarmonyError
from harmony.themes.canon import find_canons, find_faults
from harmony.themes.counterpoint import JUDGES
from harmony.themes.degrees import key_of
from harmony.themes.follower import (
    MOTIONS,
    STEPS,
    STRETCHES,
    AnswerCodes,
    Cell,
    answer_kinds,
    answer_pitches,
    follower_line,
)
from harmony.themes.survey import survey
from harmony.themes.tracks import pitch_to_code
from tests.unit.themes.lines import shuttle, theme_from_text


def test_the_grid_has_29_intervals_4_motions_3_stretches_and_every_eighth():
    found = survey(shuttle())
    assert len(STEPS) == 29
    assert found.delays == tuple(Fraction(k, 2) for k in range(65))  # 8 bars of 4/4
    assert found.count == 29 * 4 * 3 * 65


def test_a_doubling_at_distance_nothing_is_no_canon():
    found = survey(shuttle())
    direct, equal = MOTIONS.index("direct"), STRETCHES.index(Fraction(1))
    assert not found.score[direct, equal, :, 0].any()


@given(
    st.lists(st.sampled_from("CDEFGAB"), min_size=3, max_size=9),
    st.sampled_from(MOTIONS),
    st.sampled_from(STEPS),
    st.sampled_from(["C", "D dorian", "Eb", "f#"]),
)
def test_the_sweeps_codes_are_the_spelled_answers(letters, motion, steps, key):
    theme = theme_from_text(" ".join(f"{letter}4" for letter in letters), key=key)
    pitches = tuple(note.pitch for note in theme.line.sounding)
    for kind in answer_kinds(motion, steps):
        spelled = answer_pitches(pitches, pitches[0], motion, steps, kind, key_of(theme))
        answers = AnswerCodes.of(pitches, pitches[0], motion, key_of(theme))
        codes = answers.codes(steps, kind)
        assert codes.tolist() == [pitch_to_code(pitch) for pitch in spelled]
        assert spelled[0].staff_step == pitches[0].staff_step + steps or kind == "tonal"


@settings(max_examples=25)
@given(st.data())
def test_faults_counted_in_the_sweep_are_the_faults_explained(data):
    letters = data.draw(st.lists(st.sampled_from("CDEFGAB"), min_size=5, max_size=8))
    theme = theme_from_text(" ".join(f"{letter}4" for letter in letters))
    judge = data.draw(st.sampled_from(JUDGES))
    grid = survey(theme, judge)
    place = tuple(data.draw(st.integers(0, size - 1)) for size in grid.score.shape)
    cell = grid.cell(*place)
    ticks_at_fault = {fault.offset for fault in find_faults(theme, cell, judge)}
    assert len(ticks_at_fault) == grid.fault_count[place]


def test_octave_transpositions_do_not_push_each_other_down():
    found = find_canons(shuttle(), "strict").canons
    best = [c for c in found if c.rank_in_motion == 1 and c.cell.motion == "direct"]
    assert {c.cell.steps for c in best} == {-4, -11}


def test_transposing_the_theme_changes_no_score():
    from harmony.pitch import Interval
    from harmony.themes.transform import transpose_real

    here = survey(shuttle())
    there = survey(transpose_real(shuttle(), Interval.from_text("m3")))
    assert np.allclose(here.score, there.score)


def test_the_follower_begins_after_its_distance():
    line = follower_line(shuttle(), Cell("contrary", 7, Fraction(5, 2)))
    assert line.start == Fraction(5, 2)
    assert str(line.sounding[0].pitch) == "A5"


@pytest.mark.parametrize(
    ("text", "words"),
    [("C4", "at least two notes"), (" ".join(["C4/4"] * 300), "300 bars")],
)
def test_what_cannot_be_looked_at_is_refused_in_a_sentence(text, words):
    with pytest.raises(HarmonyError, match=words):
        find_canons(theme_from_text(text))


def test_unknown_judge_is_named():
    with pytest.raises(HarmonyError, match="strict, tonal or free"):
        find_canons(shuttle(), "kind")  # type: ignore[arg-type]
