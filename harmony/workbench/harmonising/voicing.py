"""The chords of a harmonisation under the tune, led from one to the next where that is possible."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.harmonising.carrying import voice_under_melody
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.score import harmonisation_to_score
from harmony.pitch.spelling import Pitch
from harmony.scoring import Event, Part, Score, Staff
from harmony.scoring.build import block_pitches
from harmony.scoring.clef import ClefChange
from harmony.workbench.harmonising.state import Question
from harmony.workbench.harmonising.work import Work, answer

PLAYED_BY = "piano"
_LOWEST_UPPER = 57  # A3: what is lower stands on the lower staff
_KEPT = 64

Chords = tuple[tuple[Pitch, ...], ...]


def chords_of(work: Work, number: int) -> Chords:
    """Give what sounds under the tune at each chord of an alternative, lowest first.

    Four voices with the tune on top where the chords allow it, block chords elsewhere.
    """
    return _voice(work.choices.question, number)


@lru_cache(maxsize=_KEPT)
def _voice(question: Question, number: int) -> Chords:
    one = answer(question).alternatives[number]
    try:
        found = voice_under_melody(one, PLAYED_BY).alternatives[0].pitches
    except HarmonyError:
        # Stacks of fourths and chords of five notes have no voicing in four voices.
        return tuple(_block(slot) for slot in one.progression)
    return tuple(tuple(sorted(pitches[1:], key=lambda pitch: pitch.midi)) for pitches in found)


def _block(slot: Slot) -> tuple[Pitch, ...]:
    if slot.chord is None:
        return ()
    chord = block_pitches(slot.chord)
    if slot.pedal is None:
        return chord
    low, high = slot.pedal.in_octave(2), slot.pedal.in_octave(5)
    return (*chord, high) if slot.pedal_above else (low, *chord)


def build_reduction(one: Harmonisation, chords: Chords, *, name: str, prefix: str) -> Part:
    """Give the chords on two staves; those of slot i have the ids ``{prefix}{i}`` and a b."""
    upper, lower = [], []
    for index, (slot, pitches) in enumerate(zip(one.progression, chords, strict=True)):
        low = tuple(p for n, p in enumerate(pitches) if n == 0 or p.midi < _LOWEST_UPPER)
        high = pitches[len(low) :]
        upper.append(Event(slot.onset, slot.duration, high, id=f"{prefix}{index}"))
        lower.append(Event(slot.onset, slot.duration, low, id=f"{prefix}{index}b"))
    staves = (Staff(tuple(upper)), Staff(tuple(lower), (ClefChange(Fraction(0), "bass"),)))
    return Part(name, staves, instrument="piano", sustains=False)


def shown_to_score(work: Work) -> Score:
    """Give the alternative shown for keeping: the tune over its chords, with their names."""
    one = work.shown
    score = harmonisation_to_score(one)
    below = build_reduction(one, chords_of(work, work.number), name="Chords", prefix="s")
    return replace(score, parts=(*score.parts[:-1], below))
