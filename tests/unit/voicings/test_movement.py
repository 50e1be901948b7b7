"""Passing notes, neighbours and suspensions between the chords, where they are asked for."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from harmony.errors import HarmonyError
from harmony.search import enumerate_paths
from harmony.voicings.api import prepare
from harmony.voicings.movement import KINDS
from harmony.voicings.result import Voiced
from tests.property.progressions import small_choir

TEXT = "C: I vi | ii6 V7 | I IV | V I"


def line_of(realisation):
    return realisation.given[0].line


def test_passing_notes_fill_thirds_by_step_in_the_key():
    problem = prepare("Eb: I vi | IV ii | V I", "string quartet", movement={"Viola": "passing"})
    best = problem.best({"stillness": 20})
    scale = {"Eb", "F", "G", "Ab", "Bb", "C", "D"}
    notes = line_of(best).notes
    assert {str(note.pitch.name) for note in notes} <= scale
    inserted = [n for n in notes if n.onset not in {s.onset for s in best.progression.slots}]
    assert inserted
    for before, note, after in zip(notes, notes[1:], notes[2:], strict=False):
        if note in inserted:
            steps = [
                b.pitch.staff_step - a.pitch.staff_step for a, b in pairwise((before, note, after))
            ]
            assert steps in ([1, 1], [-1, -1])


def test_a_suspension_is_prepared_holds_and_falls_a_step():
    best = prepare(TEXT, "SATB choir", movement={"Tenor": "suspension"}).best()
    slots = best.progression.slots
    starts = {slot.onset for slot in slots}
    held = [note for note in line_of(best) if any(note.onset < s < note.end for s in starts)]
    assert held
    for note in held:
        place = next(i for i, s in enumerate(slots) if note.onset < s.onset < note.end)
        assert note.pitch.name not in slots[place].chord.names
        assert note.pitch.name in slots[place - 1].chord.names
        after = next(n for n in line_of(best) if n.onset == note.end)
        assert note.pitch.midi - after.pitch.midi in (1, 2)


def test_the_line_fills_its_time_and_stands_in_the_score():
    problem = prepare(TEXT, "SATB choir", movement={"Alto": KINDS})
    best = problem.best()
    notes = line_of(best).notes
    assert all(a.end == b.onset for a, b in pairwise(notes))
    assert notes[-1].end == best.progression.end
    events = Voiced(problem, (best,)).to_score().parts[1].staves[0].events
    assert [event.onset for event in events] == [note.onset for note in notes]


@pytest.mark.parametrize("kinds", [*KINDS, KINDS])
def test_movement_is_weighed_exactly_with_everything_else(kinds):
    problem = prepare("C: I | IV | V7", small_choir(), preset="strings", movement={"Tenor": kinds})
    rates = [problem.preset.weights[cost.name] / cost.grain for cost in problem.costs]
    assert np.prod([float(n) for n in problem.layers.sizes]) < 200_000
    cheapest = min(enumerate_paths(problem.layers, rates, rates), key=lambda path: path.value)
    best = problem.best()
    assert best.cost == pytest.approx(cheapest.value)
    billed = sum(charge.cost for charges in best.charges for charge in charges)
    assert billed == pytest.approx(best.cost)


def test_asking_for_movement_moves_more():
    still = prepare(TEXT, "string quartet", movement={"Viola": KINDS})
    column = [cost.name for cost in still.costs].index("stillness")
    eager, idle = still.best({"stillness": 20}), still.best({"stillness": 0})
    assert eager.amounts[:, column].sum() < idle.amounts[:, column].sum()


def test_unknown_movements_and_voices_are_refused():
    with pytest.raises(HarmonyError, match="ask for passing, neighbour or suspension"):
        prepare(TEXT, "SATB choir", movement={"Tenor": "trill"})
    with pytest.raises(HarmonyError, match="no voice called"):
        prepare(TEXT, "SATB choir", movement={"Flute": "passing"})
