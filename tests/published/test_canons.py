"""Known canons are found among all canons of their leading voices.

Notes and solutions: tables 09a and 09b (Goldberg variation 6 and BWV 1087 by J. S.
Bach, Pachelbel's canon, and rounds), each row with its source. The canons of
Palestrina's masses are found in the kern files of the music21 corpus by comparing
its voices; the answers were never typed in.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.themes.canon import Canon, find_canons
from harmony.themes.counterpoint import Judge
from harmony.themes.follower import Cell, follower_line
from harmony.themes.stretto import find_strettos
from tests.unit.themes.lines import shuttle, theme_from_table, theme_from_text


def find(canons: tuple[Canon, ...], motion: str, steps: int, delay: str) -> Canon:
    wanted = (motion, steps, Fraction(delay), 1)
    hits = [
        c for c in canons if (c.cell.motion, c.cell.steps, c.cell.delay, c.cell.stretch) == wanted
    ]
    assert hits, f"{wanted} is not among the {len(canons)} canons listed"
    return hits[0]


@pytest.mark.parametrize(
    ("work", "voice", "motion", "steps", "delay", "among"),
    [
        ("goldberg_var6", "dux", "direct", 1, "3/2", 3),  # 09b-0019
        ("pachelbel_canon", "violin1", "direct", 0, "16", 3),  # 09b-0014
        ("bwv1087_ground", "soggetto", "retrograde", 0, "0", 3),  # 09b-0021
        ("bwv1087_ground", "soggetto", "contrary", 0, "4", 3),  # 09b-0023
        ("frere_jacques", "tune", "direct", 0, "8", 4),  # 09b-0002, a round
        ("row_row_row", "tune", "direct", 0, "6", 4),  # 09b-0006, a round
        ("three_blind_mice", "tune", "direct", 0, "12", 4),  # 09b-0010, a round, from memory
    ],
)
def test_known_canon_is_among_the_first_of_its_motion(work, voice, motion, steps, delay, among):
    found = find(find_canons(theme_from_table(work, voice)).canons, motion, steps, delay)
    assert found.rank_in_motion <= among


@pytest.mark.parametrize(
    ("work", "voices", "quarters"),
    [
        ("frere_jacques", 4, 8),  # 09b-0002
        ("row_row_row", 4, 6),  # 09b-0006
        ("three_blind_mice", 3, 12),  # 09b-0010, from memory
    ],
)
def test_a_round_in_all_its_voices_comes_first_of_all(work, voices, quarters):
    best = find_strettos(theme_from_table(work, "tune"), voices)[0]
    assert best.entries == tuple((0, Fraction(quarters * n)) for n in range(1, voices))
    assert best.faults() == ()


def test_second_canon_on_the_goldberg_ground_inverts_it_against_its_retrograde():
    # 09b-0022: G A B C E D C G against itself backward, all consonant
    theme = theme_from_text("G3 A3 B3 C4 E4 D4 C4 G3", key="G")
    found = find(find_canons(theme).canons, "retrograde", 0, "0")
    assert found.faults() == ()


def test_the_answer_of_goldberg_six_is_note_for_note_bachs():
    # 09b-0019: 48 of 48 notes match generically
    leader, comes = (
        theme_from_table("goldberg_var6", "dux"),
        theme_from_table("goldberg_var6", "comes"),
    )
    answer = follower_line(leader, Cell("direct", 1, Fraction(3, 2)))
    printed = {(n.onset, n.pitch.staff_step) for n in comes.line.sounding}
    built = {(n.onset, n.pitch.staff_step) for n in answer.sounding}
    assert len(printed) == 48
    assert printed <= built


@pytest.mark.parametrize(("steps", "name"), [(-4, "P5"), (-11, "P12")])
def test_shuttle_goes_in_canon_at_the_fifth_and_twelfth_below_after_a_bar(steps, name):
    found = find(find_canons(shuttle(), "strict").canons, "direct", steps, "4")
    assert (found.rank, found.rank_in_motion) == (1, 1)
    assert (found.interval.name, found.direction, found.answer) == (f"-{name}", "below", "real")


def test_shuttles_only_strict_fault_is_the_fourth_left_by_leap_in_bar_seven():
    found = find(find_canons(shuttle(), "strict").canons, "direct", -4, "4")
    (fault,) = found.faults()
    assert fault.offset == Fraction(49, 2)  # second eighth of bar 7
    assert "bar 7 beat 1.5: perfect fourth E4-A4" in fault.message


def test_tonal_judging_lets_the_covered_fourth_stand():
    judge: Judge = "tonal"
    assert find(find_canons(shuttle(), judge).canons, "direct", -4, "4").faults() == ()
