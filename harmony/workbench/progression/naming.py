"""The chord names over the notation: shown, hidden, or under a name of the composer's own."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from harmony.chords.naming import chord_symbol
from harmony.errors import HarmonyError
from harmony.scoring.direction import Harmony
from harmony.scoring.score import Score
from harmony.voicings.score import realisation_to_score
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import Work

SHOWN, HIDDEN = "shown", "hidden"
LONGEST_NAME = 40


def work_to_score(work: Work) -> Score:
    """Give the score of the shown alternative with its chords named as they are to be."""
    score = realisation_to_score(work.shown)
    if work.choices.hides_names:
        return replace(score, harmonies=())
    if not work.choices.names:
        return score
    names = dict(work.choices.names)
    by_onset = {
        slot.onset: names.get((slot.bar, slot.beat), "") for slot in work.problem.progression.slots
    }
    renamed = tuple(_rename(one, by_onset.get(one.onset, "")) for one in score.harmonies)
    return replace(score, harmonies=renamed)


def name_at(choices: Choices, bar: int, beat: Fraction) -> str:
    """Give the composer's own name of a chord; empty where it has none."""
    return dict(choices.names).get((bar, beat), "")


def read_name(text: str) -> str:
    """Read a chord's new name; empty takes the usual one again.

    Raises
    ------
    HarmonyError
        If it is too long to stand over a chord.
    """
    name = " ".join(text.split())
    if len(name) > LONGEST_NAME:
        raise HarmonyError(
            f"{len(name)} characters are too long to stand over a chord; up to"
            f" {LONGEST_NAME} are accepted."
        )
    return name


def _rename(harmony: Harmony, name: str) -> Harmony:
    if not name:
        return harmony
    # Another spelling of the symbol leaves the chord known to notation programs; a name
    # that is no symbol stands as text alone.
    chord = harmony.chord
    is_symbol = chord is not None and name.startswith(_root_of(chord_symbol(chord)))
    return Harmony(harmony.onset, chord if is_symbol else None, name, harmony.numeral)


def _root_of(symbol: str) -> str:
    tail = symbol[1:].lstrip("#b")
    return symbol[: len(symbol) - len(tail)]
