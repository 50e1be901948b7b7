"""The voicings of every chord of a progression, listed once for chords that agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.voicings.candidates import Frame, Voicings, build_voicings
from harmony.voicings.frames import build_frame, frame_at
from harmony.voicings.melody import GivenLine
from harmony.voicings.pins import RegisterChange
from harmony.voicings.presets import Preset
from harmony.voicings.rules import RuleSet
from harmony.voicings.sonority import Sonority, slot_to_sonority


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
