"""The voicings of every chord and the costs of choosing them, once for chords that agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.search import Layers, PairTerms, SplitPairs, stop_if_asked
from harmony.voicings.candidates import Frame, Voicings, build_voicings
from harmony.voicings.costs import Amounts
from harmony.voicings.frames import build_frame, frame_at
from harmony.voicings.measures import Measures
from harmony.voicings.melody import GivenLine
from harmony.voicings.pairs import VoicingPairs
from harmony.voicings.pins import RegisterChange
from harmony.voicings.presets import Preset
from harmony.voicings.rules import RuleSet, StepRule
from harmony.voicings.sonority import Sonority, slot_to_sonority

SILENCE = 1


class TooManyVoicingsError(HarmonyError):
    """A chord has more voicings than can be listed."""


@dataclass(frozen=True, slots=True)
class Layout:
    """For each chord what it asks, the limits kept, and its voicings; None where none sounds."""

    sonorities: tuple[Sonority | None, ...]
    frames: tuple[Frame, ...]
    voicings: tuple[Voicings | None, ...]


def build_layout(
    progression: Progression,
    ensemble: Ensemble,
    preset: Preset,
    rules: RuleSet,
    given: Sequence[GivenLine] = (),
    registers: Sequence[RegisterChange] = (),
) -> Layout:
    """List the voicings of every chord.

    Chords that ask the same within the same limits share one list, so the search
    works out the steps between them once.
    """
    base = build_frame(ensemble, rules, preset)
    real = len(base.real_voices)
    known: dict[tuple[Sonority, Frame], Voicings] = {}
    sonorities: list[Sonority | None] = []
    frames: list[Frame] = []
    voicings: list[Voicings | None] = []
    slots = progression.slots
    for number, slot in enumerate(slots):
        stop_if_asked()
        following = slots[number + 1].chord if number + 1 < len(slots) else None
        fixed: dict[int, int] = {}
        for line in given:
            pitch = line.ruling[number]
            if pitch is not None:
                fixed[line.voice] = pitch.midi
        frame = frame_at(base, slot, registers, fixed)
        frames.append(frame)
        if slot.chord is None:
            sonorities.append(None)
            voicings.append(None)
            continue
        sonority = slot_to_sonority(slot, real, following)
        if (sonority, frame) not in known:
            known[sonority, frame] = _list_voicings(sonority, frame, rules, slot.place)
        sonorities.append(sonority)
        voicings.append(known[sonority, frame])
    return Layout(tuple(sonorities), tuple(frames), tuple(voicings))


def _list_voicings(sonority: Sonority, frame: Frame, rules: RuleSet, place: str) -> Voicings:
    try:
        voicings = build_voicings(sonority, frame)
    except MemoryError as fault:
        raise TooManyVoicingsError(
            f"{sonority.figure} at {place} has too many voicings for so many voices;"
            " narrow the registers, or let some voices double others.",
            where=place,
        ) from fault
    if rules.own:
        voicings = voicings.chosen(
            np.logical_and.reduce([rule.allows(voicings) for rule in rules.own])
        )
    return voicings


def build_layers(
    names: tuple[str, ...],
    voicings: Sequence[Voicings | None],
    measures: Measures,
    rules: tuple[StepRule, ...],
) -> Layers:
    """Give the costs ``names`` as the search sees them: numbers for voicings and for steps."""
    singles: dict[int, Amounts] = {}
    for own in voicings:
        stop_if_asked()
        if own is not None and id(own) not in singles:
            singles[id(own)] = measures.measure_voicings(own)
    pairs: dict[tuple[int, int], PairTerms] = {}
    for before, after in pairwise(voicings):
        if (id(before), id(after)) in pairs:
            continue
        if before is not None and after is not None:
            steps: PairTerms = VoicingPairs(before, after, measures, rules)
        else:
            steps = SplitPairs.free(names, _count(before), _count(after))
        pairs[id(before), id(after)] = steps
    silent = np.zeros((len(names), SILENCE), dtype=np.int32)
    return Layers(
        names,
        tuple(silent if own is None else singles[id(own)] for own in voicings),
        tuple(pairs[id(before), id(after)] for before, after in pairwise(voicings)),
    )


def _count(voicings: Voicings | None) -> int:
    # Nothing is charged into or out of silence, which is one choice.
    return SILENCE if voicings is None else len(voicings)
