"""Bars of one harmonisation joined to bars of another, in every idiom and across idioms."""

from __future__ import annotations

from fractions import Fraction

import pytest

import harmony
from harmony.harmonising.again import closer, less_like, other_chords
from harmony.harmonising.compare import chord_at, differences, join_bars
from harmony.harmonising.idiom import IDIOMS
from harmony.pitch import Line, MeterMap, Note, Pitch, Theme
from harmony.pitch.key import Key

OWN = "own: Dm7 G/B Cmaj7 F Am7 E7 Bb Dm"
NAMES = ("A4", "D5", "C5", "D5", "E5", "D5", "C5", "A4", "G4", "A4", "C5", "B4", "A4", "F4", "E4",
         "D4")  # fmt: skip
TUNE = Theme(
    Line(
        tuple(
            Note(Fraction(2 * place), Fraction(2), Pitch.from_text(name))
            for place, name in enumerate(NAMES)
        )
    ),
    MeterMap.steady("4/4"),
    Key.from_text("d dorian"),
)


def find(*idioms: str):
    return harmony.harmonise(TUNE, idioms=idioms, count=3)


@pytest.mark.parametrize("idiom", IDIOMS)
def test_what_is_kept_on_either_side_of_the_joint_stays(idiom: str) -> None:
    found = find(OWN if idiom == "own" else idiom)
    joined = join_bars(found, 2, 3, at_bar=5)
    joint, end = Fraction(16), joined.progression.end
    assert end == TUNE.line.end
    before = [slot for slot in found.alternative(2).progression if slot.onset < joint]
    for slot in before[:-1]:
        assert chord_at(joined, slot.onset).pitch_classes == slot.chord.pitch_classes
    for stretch in differences(joined, found.alternative(3)):
        first = next(s for s in found.alternative(3).progression if s.onset + s.duration > joint)
        assert stretch.start < first.onset + first.duration
    assert sum(slot.duration for slot in joined.progression) == end
    assert joined.spans[0].onset == 0


def test_two_idioms_meet_at_the_joint() -> None:
    found = find("modal", "quartal", "modal, from bar 3 quartal")
    assert join_bars(found, 1, 2, at_bar=5).idiom == "modal, from bar 5 quartal"
    assert join_bars(found, 3, 1, at_bar=5).idiom == ("modal, from bar 3 quartal, from bar 5 modal")
    assert join_bars(found, 1, 3, at_bar=2).idiom == "modal, from bar 3 quartal"


def test_stacks_of_fourths_are_asked_for_again_and_a_triad_is_fixed_among_them() -> None:
    found = find("quartal")
    for again in (closer(found, 2), less_like(found, 2), other_chords(found, 2, bars=(3, 4))):
        assert again.alternatives
        assert all(one.progression.end == TUNE.line.end for one in again.alternatives)
    stack = found.alternative(1).progression.slots[2]
    bar, beat = stack.bar, float(stack.beat)
    held = harmony.harmonise(
        TUNE, idioms="quartal", count=2, fixed=[f"{bar}.{beat:g}={stack.figure}", "8.1=Dm"]
    )
    for one in held.alternatives:
        assert chord_at(one, stack.onset).pitch_classes == stack.chord.pitch_classes
        assert chord_at(one, Fraction(28)).quality.name == "min"
