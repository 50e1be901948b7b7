"""Canons and a stretto whose notes were typed from memory, found where they are printed.

J. S. Bach, Musical Offering BWV 1079, the canon by retrograde: the line against itself
backward at the unison. The Well-Tempered Clavier I, fugue in C major: in bar 7 the tenor
answers the soprano's subject a quarter later at the eleventh below (a fourth and an
octave). London's Burning, a traditional round in four voices: at the unison, every two
bars. Tallis's canon, the eighth of his tunes for Archbishop Parker's psalter, as hymnals
have it: at the octave after four notes. Mahler, first symphony, third movement: the
round in minor. Notes and facts recalled, not seen again.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.pitch import Theme
from harmony.themes.canon import find_canons
from harmony.themes.stretto import find_strettos
from tests.unit.themes.lines import theme_from_text

RETROGRADE = """
C4/4 Eb4/4 G4/4 Ab4/4 B3/4 r/2 G4/2 F#4/4 F4/4 E4/4 Eb4/6 D4/2 Db4/2 C4/2 B3/2 G3/2 C4/2 F4/2
Eb4/4 D4/4 C4/4 Eb4/4 G4 F4 G4 C5 G4 Eb4 D4 Eb4 F4 G4 A4 B4 C5 Eb4 F4 G4 Ab4 D4 Eb4 F4 G4 F4
Eb4 D4 Eb4 F4 G4 Ab4 Bb4 Ab4 G4 F4 G4 Ab4 Bb4 C5 Db5 Bb4 Ab4 G4 A4 B4 C5 D5 Eb5 C5 B4 A4 B4 C5
D5 Eb5 F5 D5 G4 D5 C5 D5 Eb5 F5 Eb5 D5 C5 B4 C5/2 G4/2 Eb4/2 C4/2
"""
SUBJECT = "r C4 D4 E4 F4/1.5 G4/0.25 F4/0.25 E4 A4 D4 G4/1.5 A4/0.5"
LONDON = """
D4 D4 G4/2 G4/2 D4 D4 G4/2 G4/2 A4 A4 B4/2 B4/2 A4 A4 B4/2 B4/2
D5/4 D5/2 D5/4 D5/2 D5 C5 B4/2 B4/2 D5 C5 B4/2 B4/2
"""
TALLIS = """
r/3 G4 G4 F#4 G4 G4 A4 A4 B4 G4 C5 C5 B4 B4 A4 A4 G4
D5 A4 A4 B4 B4 C5 C5 D5 D5 G4 A4 B4 C5 B4 A4 G4
"""
MAHLER = """
D4 E4 F4 D4 D4 E4 F4 D4 F4 G4 A4/2 F4 G4 A4/2 A4/.5 Bb4/.5 A4/.5 G4/.5 F4 D4
A4/.5 Bb4/.5 A4/.5 G4/.5 F4 D4 D4 A3 D4/2 D4 A3 D4/2
"""
CRAB = theme_from_text(RETROGRADE, key="c", unit="1/2")
FUGUE = theme_from_text(SUBJECT, key="C", unit="1/2")
HYMN = theme_from_text(TALLIS, key="G")
MINOR = theme_from_text(MAHLER, key="d")
ROUND = theme_from_text(LONDON, key="G", meter="3/4", unit="1/2")


@pytest.mark.parametrize(
    ("theme", "motion", "steps", "delay", "among"),
    [
        (CRAB, "retrograde", 0, "0", 1),
        (ROUND, "direct", 0, "6", 1),
        (FUGUE, "direct", -3, "1", 1),
        (FUGUE, "direct", -10, "1", 2),
        (HYMN, "direct", -7, "4", 1),
        (MINOR, "direct", 0, "8", 1),
    ],
)
def test_it_is_among_the_first_of_its_motion(
    theme: Theme, motion: str, steps: int, delay: str, among: int
) -> None:
    wanted = (motion, Fraction(1), steps, Fraction(delay))
    (rank,) = [
        canon.rank_in_motion
        for canon in find_canons(theme).canons
        if (canon.cell.motion, canon.cell.stretch, canon.cell.steps, canon.cell.delay) == wanted
    ]
    assert rank <= among


@pytest.mark.parametrize("voices", [3, 4])
def test_the_fugues_stretto_goes_on_through_more_voices(voices: int) -> None:
    # each voice a fourth under the one before, a quarter after it: no pair at fault
    best = find_strettos(FUGUE, voices)[0]
    fourths = tuple((-3 * place, Fraction(place)) for place in range(1, voices))
    assert best.entries == fourths
    assert best.faults() == ()


@pytest.mark.parametrize("voices", [3, 4])
def test_the_round_goes_in_all_its_voices(voices: int) -> None:
    best = find_strettos(ROUND, voices)[0]
    assert [delay for _, delay in best.entries] == [6 * place for place in range(1, voices)]
    assert all(steps % 7 == 0 for steps, _ in best.entries)  # at the unison or an octave
    assert best.faults() == ()
