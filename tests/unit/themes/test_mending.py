from __future__ import annotations

from fractions import Fraction

import pytest

from harmony.errors import HarmonyError
from harmony.themes.canon import find_faults
from harmony.themes.follower import Cell
from harmony.themes.mending import mend
from tests.unit.themes.lines import shuttle, theme_from_text

FIFTH_BELOW = Cell("direct", -4, Fraction(4), Fraction(1), "real")


def test_shuttle_has_six_diatonic_repairs_of_one_note_and_a_to_g_is_the_least_audible():
    mends = mend(shuttle(), FIFTH_BELOW, "strict", most_changes=1, protect=False)
    assert len(mends) == 6
    (change,) = mends[0].changes
    assert change.describe(shuttle()) == "bar 7 beat 1.5: A4 becomes G4"


def test_every_mend_leaves_no_fault_and_changes_only_what_it_says():
    for found in mend(shuttle(), FIFTH_BELOW, "strict", most_changes=1):
        assert find_faults(found.theme, FIFTH_BELOW, "strict") == ()
        before = [note.pitch for note in shuttle().line.sounding]
        after = [note.pitch for note in found.theme.line.sounding]
        differs = [i for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b]
        assert differs == [change.index for change in found.changes]


def test_exhaustive_trial_of_every_note_finds_the_same_repairs():
    from dataclasses import replace

    from harmony.pitch import Line
    from harmony.themes.degrees import place_to_pitch

    theme = shuttle()
    notes = theme.line.sounding
    works = set()
    for index, note in enumerate(notes):
        for move in range(-4, 5):
            pitch = place_to_pitch(note.pitch.staff_step + move, 0, theme.key)
            if pitch == note.pitch:
                continue
            line = Line(
                tuple(replace(n, pitch=pitch) if i == index else n for i, n in enumerate(notes))
            )
            if not find_faults(replace(theme, line=line), FIFTH_BELOW, "strict"):
                works.add((index, str(pitch)))
    mends = mend(theme, FIFTH_BELOW, "strict", most_changes=1, protect=False)
    assert {(m.changes[0].index, str(m.changes[0].after)) for m in mends} == works


def test_trial_of_every_two_notes_finds_the_same_pairs():
    import itertools
    from dataclasses import replace

    from harmony.pitch import Line
    from harmony.themes.degrees import place_to_pitch

    theme = theme_from_text("A4 B4 F5 F5 F5 D5 A4")
    cell = Cell("direct", -4, Fraction(1), Fraction(1), "diatonic")
    notes = theme.line.sounding

    def moved(index, move):
        return index, place_to_pitch(notes[index].pitch.staff_step + move, 0, theme.key)

    works = set()
    for one, two in itertools.combinations(range(len(notes)), 2):
        for moves in itertools.product([m for m in range(-4, 5) if m], repeat=2):
            change = dict(moved(i, m) for i, m in zip((one, two), moves, strict=True))
            line = Line(
                tuple(replace(n, pitch=change.get(i, n.pitch)) for i, n in enumerate(notes))
            )
            if not find_faults(replace(theme, line=line), cell, "tonal"):
                works.add(frozenset(change.items()))
    mends = mend(theme, cell, "tonal", most_changes=2, protect=False)
    assert {len(m.changes) for m in mends} == {2}
    assert {frozenset((c.index, c.after) for c in m.changes) for m in mends} == works


def test_a_canon_without_fault_needs_no_mending():
    theme = theme_from_text("C4/2 E4/2 G4/2 E4/2")
    assert mend(theme, Cell("direct", 0, Fraction(4), Fraction(1), "real"), "tonal") == ()


def test_number_of_changes_is_bounded():
    with pytest.raises(HarmonyError, match="From 1 to 3 notes"):
        mend(shuttle(), FIFTH_BELOW, "strict", most_changes=9)
