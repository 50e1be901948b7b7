"""Rules let go where a tune leaves the chords no voicing by all of them, and what that broke."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from harmony.errors import NoSolutionError

if TYPE_CHECKING:
    from harmony.voicings.problem import Problem
    from harmony.voicings.realisation import Realisation

#: Rules let go, one set after another.
_LET_GO: tuple[dict[str, Any], ...] = (
    {},
    {"is_complete": False},
    {"is_complete": False, "gaps": False, "tendency_once": False},
    {"is_complete": False, "gaps": False, "tendency_once": False, "crossing": 12},
)
_MOST_TOLD = 4
_NEEDED, _FIFTH = (3, 7), 5  # a chord's own degrees, and the one that it may do without


@dataclass(frozen=True, slots=True)
class LetGo:
    """One place where a rule was let go: the chord's bar and beat, and what stands there."""

    place: str
    words: str


def allow_enough(problem: Problem) -> Problem:
    """The problem with as many of its rules as leave it a solution.

    A tune may take the very notes a chord of five or more cannot do without, or lie
    so low that voices meet; rules are then let go in the order of _LET_GO.

    Raises
    ------
    NoSolutionError
        Where there is none with all of them let go either.
    """
    refused: NoSolutionError | None = None
    for changes in _LET_GO:
        eased = problem.with_rules(replace(problem.rules, **changes)) if changes else problem
        try:
            _refuse_without_solution(eased)
        except NoSolutionError as fault:
            refused = refused or fault
        else:
            return eased
    assert refused is not None
    raise refused


def _refuse_without_solution(problem: Problem) -> None:
    """Raise NoSolutionError where there is none."""
    if problem.rules.steps or problem.pins:
        problem.best()
    else:
        # Where no rule bars a step, a voicing of every chord is all it takes.
        _ = problem.layout


def find_let_go(problem: Problem, realised: Realisation) -> tuple[LetGo, ...]:
    """Find where a voicing does what the rules that were let go forbid."""
    rules, usual = problem.rules, problem.preset.rules
    found = []
    for number, slot in enumerate(realised.progression):
        words: list[str] = []
        if rules.crossing > usual.crossing:
            words += _crossed(realised, number)
        if usual.gaps and not rules.gaps:
            words += _too_far(realised, number)
        if usual.is_complete and not rules.is_complete:
            words += _left_out(realised, number)
        if usual.tendency_once and not rules.tendency_once:
            words += _doubled(realised, number)
        found += [LetGo(slot.place, one) for one in words]
    return tuple(found)


def say_let_go(problem: Problem, realised: Realisation) -> str:
    """Tell in a sentence where rules were let go, with voices; empty where none was.

    >>> from harmony.voicings.api import voice
    >>> found = voice("C: I | V | I", "SATB choir")
    >>> say_let_go(found.problem, found.alternatives[0])
    ''
    """
    found = find_let_go(problem, realised)
    if not found:
        return ""
    told = [f"in {one.place} {one.words}" for one in found[:_MOST_TOLD]]
    more = len(found) - len(told)
    rest = f"; so it is in {more} more place{'s' if more > 1 else ''}" if more else ""
    return f"What is given leaves no voicing by all the rules: {'; '.join(told)}{rest}."


def _neighbours(realised: Realisation, number: int) -> Iterator[tuple[int, str, int]]:
    """Each two neighbouring voices: the upper's place, both names, how far they are apart."""
    names = [voice.name for voice in realised.ensemble.voices]
    row = realised.pitches[number]
    for place, (upper, lower) in enumerate(itertools.pairwise(row)):
        yield place, f"{names[place]} and {names[place + 1]}", upper.midi - lower.midi


def _crossed(realised: Realisation, number: int) -> list[str]:
    return [f"{both} cross" for _, both, apart in _neighbours(realised, number) if apart < 0]


def _too_far(realised: Realisation, number: int) -> list[str]:
    gaps = realised.ensemble.gaps
    if not gaps:
        return []
    return [
        f"{both} lie {apart} semitones apart"
        for place, both, apart in _neighbours(realised, number)
        if apart > gaps[place]
    ]


def _left_out(realised: Realisation, number: int) -> list[str]:
    chord, row = realised.progression.slots[number].chord, realised.pitches[number]
    if chord is None or not row:
        return []
    sounding = {pitch.pitch_class for pitch in row}
    highest = max(degree.number for degree in chord.degrees)
    missing = [
        str(name)
        for name, degree in chord.members
        if name.pitch_class not in sounding
        and (degree is None or degree.number in (*_NEEDED, highest))
        and (degree is None or degree.number != _FIFTH)
    ]
    return [f"no voice has {' or '.join(missing)} of {chord.figure}"] if missing else []


def _doubled(realised: Realisation, number: int) -> list[str]:
    slot, row = realised.progression.slots[number], realised.pitches[number]
    names = [voice.name for voice in realised.ensemble.voices]
    if slot.chord is None:
        return []
    words = []
    leading = slot.key.scale[6].pitch_class if slot.key and not slot.key.is_minor else None
    for name, degree in slot.chord.members:
        is_seventh = degree is not None and degree.number == 7
        voices = [names[v] for v, pitch in enumerate(row) if pitch.pitch_class == name.pitch_class]
        if len(voices) > 1 and (is_seventh or name.pitch_class == leading):
            what = "the seventh" if is_seventh else "the leading tone"
            words.append(f"{' and '.join(voices)} double {what} {name}")
    return words
