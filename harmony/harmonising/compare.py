"""Alternatives beside each other: where they differ, what they measure, joined and carried on."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.alternatives import find_alternatives
from harmony.harmonising.change import find_changing, read_changes
from harmony.harmonising.fixing import Fixed
from harmony.harmonising.found import to_harmonisation
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations, Held
from harmony.harmonising.spans import Span
from harmony.harmonising.standing import stand_on


@dataclass(frozen=True, slots=True)
class Difference:
    """Where two alternatives differ: from when to when, in quarters.

    ``figures`` are the two chords; ``is_root`` says that their roots differ, else
    only quality or bass do.
    """

    start: Fraction
    end: Fraction
    figures: tuple[str, str]
    is_root: bool


def chord_at(one: Harmonisation, time: Fraction) -> Chord | None:
    """The chord sounding at a time, None before the first."""
    found = None
    for slot in one.progression:
        if slot.onset > time:
            break
        found = slot
    return None if found is None else found.chord


def differences(one: Harmonisation, other: Harmonisation) -> tuple[Difference, ...]:
    """Where two harmonisations of a theme differ, in order of time."""
    cuts = sorted({s.onset for s in one.progression} | {s.onset for s in other.progression})
    cuts.append(max(one.progression.end, other.progression.end))
    found = []
    for start, end in itertools.pairwise(cuts):
        a, b = chord_at(one, start), chord_at(other, start)
        if a is None or b is None:
            continue
        if (a.root, a.quality, a.bass) != (b.root, b.quality, b.bass):
            differs = a.root.pitch_class != b.root.pitch_class
            found.append(Difference(start, end, (a.figure, b.figure), differs))
    return tuple(found)


def root_difference(one: Harmonisation, other: Harmonisation) -> float:
    """The share of the theme's length under which the roots differ, 0 to 1."""
    apart = sum((s.end - s.start for s in differences(one, other) if s.is_root), Fraction(0))
    start = min(one.progression.slots[0].onset, other.progression.slots[0].onset)
    return float(apart / (one.progression.end - start))


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure in plain words, its value and its course by bar (bar number, value)."""

    name: str
    value: float
    course: tuple[tuple[int, float], ...]


def measure(one: Harmonisation) -> tuple[Measure, ...]:
    """Measure a harmonisation for comparison.

    Chords a bar, different chords, notes of the tune outside their chord, bass moves
    by step, and what each bar costs.
    """
    meters = one.theme.meters
    by_bar: dict[int, int] = dict.fromkeys(meters.bars_through(one.progression.end), 0)
    for slot in one.progression:
        by_bar[slot.bar] = by_bar.get(slot.bar, 0) + 1
    outside: dict[int, int] = dict.fromkeys(by_bar, 0)
    for note in one.theme.line.sounding:
        chord = chord_at(one, note.onset)
        if chord is not None and note.pitch is not None:
            bar = meters.locate(note.onset)[0]
            outside[bar] = outside.get(bar, 0) + (note.pitch.pitch_class not in chord.pitch_classes)
    basses = [slot.bass.pitch_class for slot in one.progression if slot.bass is not None]
    steps = [min((b - a) % 12, (a - b) % 12) for a, b in itertools.pairwise(basses)]
    kinds = {(s.chord.root, s.chord.quality) for s in one.progression if s.chord is not None}
    count = max(1, len(by_bar))
    return (
        Measure("chords a bar", len(one.progression) / count, tuple(sorted(by_bar.items()))),
        Measure("different chords", float(len(kinds)), ()),
        Measure(
            "notes outside their chord",
            float(sum(outside.values())),
            tuple(sorted(outside.items())),
        ),
        Measure(
            "bass moves by step", sum(step in (1, 2) for step in steps) / max(1, len(steps)), ()
        ),
        Measure("cost", one.cost, tuple(sorted(one.bar_costs.items()))),
    )


def join_bars(found: Harmonisations, first: int, second: int, *, at_bar: int) -> Harmonisation:
    """Join the bars of one alternative before ``at_bar`` to those of another from there on.

    The last chord before the joint and the first after it are found anew, so that
    the joint is the best there is between what is kept on either side.

    Parameters
    ----------
    found
        The alternatives.
    first, second
        Their numbers, counted from 1.
    at_bar
        The bar with which the second begins.

    Raises
    ------
    HarmonyError
        Where there is no such bar under the theme.
    """
    one, other = found.alternative(first), found.alternative(second)
    bars = found.theme.meters.bars_through(found.melody.end)
    if at_bar not in bars or at_bar == bars.start:
        raise HarmonyError(
            f"The joint cannot lie before bar {at_bar}; it can before bars {bars.start + 1} to"
            f" {bars.stop - 1}."
        )
    joint = found.theme.meters.bar_start(at_bar)
    spans = _spans_until(one, joint) + _spans_from(other, joint)
    if not spans:
        raise HarmonyError("No chord stands before or after the joint; another bar is accepted.")
    before = [slot for slot in one.progression if slot.onset < joint]
    after = [slot for slot in other.progression if slot.onset + slot.duration > joint]
    kept = [*before[:-1], *after[1:]]
    fixed = tuple(
        Fixed(max(slot.onset, spans[0].onset), slot.chord, f"bar {slot.bar}")
        for slot in kept
        if slot.chord is not None
    )
    name = f"{one.name}, then {other.name}"
    idea = f"{one.name} to bar {at_bar - 1}, {other.name} from bar {at_bar}"
    try:
        joined = _search_joint(found, one, other, at_bar, spans, fixed)
        idea += ", the joint found anew"
    except NoSolutionError:
        joined = _lay_together(one, other, joint, at_bar)
        idea += ", the joint as it stands: no chord leads better across it"
    held = [*_clip(one.held, end=joint), *_clip(other.held, start=joint)]
    return replace(
        joined.with_held(held), name=name, idea=idea, spans=spans, asked=one.asked,
        strand=one.strand,
    )  # fmt: skip


def _clip(
    held: Sequence[Held], *, start: Fraction = Fraction(-1), end: Fraction | None = None
) -> list[Held]:
    """The notes of pedals as far as they sound from a time on or up to one."""
    return [
        replace(
            note, start=max(note.start, start), end=note.end if end is None else min(note.end, end)
        )
        for note in held
        if note.end > start and (end is None or note.start < end)
    ]


def _search_joint(
    found: Harmonisations,
    one: Harmonisation,
    other: Harmonisation,
    at_bar: int,
    spans: tuple[Span, ...],
    fixed: tuple[Fixed, ...],
) -> Harmonisation:
    """The best way through what is kept of two alternatives, each in its own idiom."""
    before = [s for s in read_changes(one.idiom_text, found.melody) if s.bar < at_bar]
    after = read_changes(other.idiom_text, found.melody)
    entering = [s for s in after if s.bar <= at_bar][-1]
    start = found.theme.meters.bar_start(at_bar)
    later = [replace(entering, bar=at_bar, start=start), *(s for s in after if s.bar > at_bar)]
    if later[0].idiom == before[-1].idiom:
        del later[0]
    if len(before) + len(later) == 1:
        (answer,) = find_alternatives(
            found.melody, before[0].idiom, spans, 1, fixed, weights=found.weights,
            adapt=stand_on(found.given),
        )  # fmt: skip
        return to_harmonisation(answer, join_same=False)
    (joined,) = find_changing(
        found.melody, [*before, *later], spans, 1, fixed, found.weights, is_planned=False
    )
    return joined


def _lay_together(
    one: Harmonisation, other: Harmonisation, joint: Fraction, at_bar: int
) -> Harmonisation:
    slots, terms = [], []
    for slot, costs in zip(one.progression, one.slot_terms, strict=True):
        if slot.onset < joint:
            slots.append(replace(slot, duration=min(slot.duration, joint - slot.onset)))
            terms.append(costs)
    for slot, costs in zip(other.progression, other.slot_terms, strict=True):
        end = slot.onset + slot.duration
        if slot.onset < joint < end:
            slot = replace(slot, bar=at_bar, beat=Fraction(1), onset=joint, duration=end - joint)
        if slot.onset >= joint:
            slots.append(slot)
            terms.append(costs)
    progression = replace(one.progression, slots=tuple(slots))
    return replace(one, progression=progression, slot_terms=tuple(terms))


def _spans_until(one: Harmonisation, joint: Fraction) -> tuple[Span, ...]:
    return tuple(
        Span(slot.onset, min(slot.onset + slot.duration, joint) - slot.onset)
        for slot in one.progression
        if slot.onset < joint
    )


def _spans_from(one: Harmonisation, joint: Fraction) -> tuple[Span, ...]:
    return tuple(
        Span(max(slot.onset, joint), slot.onset + slot.duration - max(slot.onset, joint))
        for slot in one.progression
        if slot.onset + slot.duration > joint
    )


def keep_bars(one: Harmonisation, bars: Sequence[int]) -> tuple[Fixed, ...]:
    """The chords of some bars as fixed chords: bars locked, to be searched around."""
    return tuple(
        Fixed(slot.onset, slot.chord, f"bar {slot.bar}")
        for slot in one.progression
        if slot.bar in bars and slot.chord is not None
    )
