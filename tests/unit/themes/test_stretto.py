from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.resources import find_corpora
from harmony.themes.combine import combine
from harmony.themes.faults import find_faults_between
from harmony.themes.followers import ALIKE, EVEN, steadiness
from harmony.themes.score import combination_to_score, stretto_to_score
from harmony.themes.stretto import (
    WORST_PAIR,
    _pair_grid,
    find_nearest_stretto,
    find_strettos,
)
from harmony.themes.transform import invert_diatonic, reverse
from harmony.themes.under import Under
from tests.unit.themes.lines import shuttle, theme_from_text

CHORDS = "Dm7 | G7 | Dm7 | C"


def short():
    return theme_from_text("D4 E4 F4 D4 A4/2 G4 F4", key="d")


@pytest.mark.parametrize("voices", [3, 4])
def test_the_best_entries_are_those_of_trying_every_set(voices):
    theme = short()
    delays, pairs, clean = _pair_grid(theme, "tonal", 7, 0.4)
    single = [(s, d) for s in range(29) for d in range(1, len(delays)) if pairs[0][s, d] > 0]
    single = sorted(single, key=lambda e: -pairs[0][e])[:400]

    def together(one, two, grids):
        if one[1] == two[1]:
            return None
        first, second = sorted((one, two), key=lambda e: e[1])
        steps = second[0] - first[0]
        if abs(steps) > 14:
            return None
        return grids[(first[0] - 14) % 7][steps + 14, second[1] - first[1]] or None

    best = 0.0
    for entries in itertools.combinations(single[:40] if voices == 4 else single, voices - 1):
        twos = list(itertools.combinations(entries, 2))
        mutual = [together(a, b, pairs) for a, b in twos]
        if None not in mutual:
            scores = [pairs[0][e] for e in entries] + mutual
            ordered = sorted((beats, step - 14) for step, beats in entries)
            even = steadiness([(step, beats) for beats, step in ordered])
            if not all(together(a, b, clean) for a, b in twos) or not all(
                clean[0][e] for e in entries
            ):
                even = 0.0
            best = max(best, sum(scores) / len(scores) + even)
    found = find_strettos(theme, voices)
    if voices == 3:
        assert found[0].score == pytest.approx(best)
    else:  # 40 entries are a part of the 400
        assert found[0].score >= best - 1e-9


def test_over_chords_the_leader_and_every_follower_are_weighed_with_them():
    found = find_strettos(shuttle(), 3, under=Under(chords=harmony.parse(CHORDS)))[0]
    assert len(found.pair_scores) == 3 + 3
    beats = [(steps, int(delay)) for steps, delay in found.entries]
    mean = sum(found.pair_scores) / 6
    assert found.score in (pytest.approx(mean), pytest.approx(mean + steadiness(beats)))
    score = stretto_to_score(found)
    last = max(line.end for line in found.lines)
    assert [h.onset for h in score.harmonies] == [Fraction(4 * bar) for bar in range(int(last / 4))]


def test_chord_notes_on_beats_decide_how_a_theme_goes_over_chords():
    theme = theme_from_text("C4 E4 G4 C5 D4 F4 A4 D5")
    fits = Under(chords=harmony.parse("C | Dm")).score_entries(theme, (Fraction(0),), "tonal")
    assert fits[14, 0] == pytest.approx(1.0)  # at the unison every note is the chord's
    assert fits[15, 0] == 0.0  # a step up none is


def test_a_ground_comes_round_and_stands_last():
    ground = theme_from_text("D3/4 G3/4 D3/4 C3/4")
    found = find_strettos(shuttle(), 3, under=Under(ground=ground.line))[0]
    assert found.names == ("Leader", "Second voice", "Third voice", "Ground")
    longest = max(line.end for line in found.voices)
    assert longest <= found.lines[-1].end < longest + 16
    assert len(stretto_to_score(found).parts) == 4


def test_faults_of_every_two_voices_are_told_with_their_names():
    found = next(s for s in find_strettos(shuttle(), 4) if s.faults())
    told = found.faults()
    assert [f.offset for f in told] == sorted(f.offset for f in told)
    assert all(" voice)" in f.message and " and " in f.message for f in told)


def test_a_search_can_be_stopped_and_says_how_far_it_is():
    told = []
    assert find_strettos(shuttle(), 4, report=told.append, is_cancelled=lambda: True) == ()
    assert told == [0.0]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Under(), "either a ground or a progression"),
        (lambda: Under(chords=harmony.parse("N.C.")), "at least one"),
        (lambda: find_strettos(shuttle(), 5), "from 2 to 4 voices"),
    ],
)
def test_what_cannot_stand_under_a_canon_is_refused(make, words):
    with pytest.raises(HarmonyError, match=words):
        make()


def test_themes_together_tell_their_faults_and_where_they_invert():
    theme = shuttle()
    for second in (reverse(theme), invert_diatonic(theme, theme.line.sounding[0].pitch)):
        best = combine(theme, second, "strict")[0]
        told = find_faults_between(theme.meters, theme.line, best.second_line, "strict")
        assert best.faults() == told
        assert len(combination_to_score(best).parts) == 2


def test_invertible_at_the_octave_changes_places():
    # thirds become sixths, so they invert at the octave; at the twelfth a sixth becomes a seventh
    upper = theme_from_text("E5 F5 G5 F5 E5/4", key="C")
    lower = theme_from_text("C5 D5 E5 D5 C5/4", key="C")
    found = [c for c in combine(lower, upper, "strict") if (c.steps, c.delay) == (0, 0)]
    assert found
    assert "octave" in found[0].inverts_at
    assert "twelfth" not in find_sixths().inverts_at


def find_sixths():
    upper = theme_from_text("A5 B5 C6 B5 A5/4", key="C")
    lower = theme_from_text("C5 D5 E5 D5 C5/4", key="C")
    (found,) = [c for c in combine(lower, upper, "strict") if (c.steps, c.delay) == (0, 0)]
    return found


def steps_past(found):
    """By how many steps each interval of inversion takes the second to the other side."""
    first, second = (
        sum(n.duration * n.pitch.staff_step for n in line.sounding) / line_length(line)
        for line in (found.first.line, found.second_line)
    )
    apart = second - first
    for name, size in (("octave", 7), ("tenth", 9), ("twelfth", 11)):
        past = size + 7 * max(0, math.ceil((abs(apart) - size) / 7))
        yield name, -past if apart > 0 else past


def line_length(line):
    return sum(note.duration for note in line.sounding)


def test_places_are_changed_with_no_more_faults_than_before():
    # the second is moved past the first note by note, and the two are read anew
    theme = shuttle()
    seconds = (reverse(theme), invert_diatonic(theme, theme.line.sounding[0].pitch))
    for found in (one for second in seconds for one in combine(theme, second)):
        before = len({fault.offset for fault in found.faults()})
        for name, past in steps_past(found):
            moved = replace(found, steps=found.steps + past)
            after = len({fault.offset for fault in moved.faults()})
            assert (name in found.inverts_at) == (after <= before), (found, name)


def test_what_two_themes_share_ends_with_the_first_that_ends():
    theme = shuttle()
    for found in combine(theme, reverse(theme)):
        assert found.shared == theme.line.end - found.delay


def test_where_no_canon_goes_well_enough_the_nearest_is_told():
    night = harmony.open_theme(find_corpora("loom_hall", "night_shift.abc"))
    assert find_strettos(night, 3) == ()
    nearest = find_nearest_stretto(night, 3)
    assert nearest is not None
    assert len(nearest.entries) == 2
    assert 0 < len(nearest.faults()) < 10
    # no set of voices that sound together half as well has a better mean
    assert nearest == find_strettos(night, 3, worst=WORST_PAIR / 2)[0]
    assert find_strettos(shuttle(), 3, worst=WORST_PAIR)[0].score > nearest.score


def test_even_entries_count_for_something_and_alike_for_more():
    assert steadiness([(0, 8), (-7, 16)]) == EVEN
    assert steadiness([(-3, 1), (-6, 2), (-9, 3)]) == EVEN + ALIKE
    assert steadiness([(0, 8), (0, 12)]) == 0.0
    assert steadiness([(0, 8)]) == 0.0
