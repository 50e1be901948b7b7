"""The chords of a harmonisation under the tune, led from one to the next where that is possible."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.harmonising.carrying import voice_under_melody
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.lines import BASS, BOTH
from harmony.harmonising.register import LIES_IN, PLAYED_BY
from harmony.harmonising.score import harmonisation_to_score, line_to_part, place_held
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.pitch.spelling import Pitch
from harmony.scoring import Event, Part, Score, Staff
from harmony.scoring.build import block_pitches
from harmony.scoring.clef import ClefChange
from harmony.workbench.harmonising.counter import counter_of
from harmony.workbench.harmonising.state import Question
from harmony.workbench.harmonising.tune import open_given
from harmony.workbench.harmonising.work import Work, answer

COUNTER = "Counter-melody"
_LOWEST_UPPER = 57  # A3: what is lower stands on the lower staff
_KEPT = 64

Chords = tuple[tuple[Pitch, ...], ...]


def chords_of(work: Work, number: int) -> Chords:
    """Give what sounds with the tune at each chord of an alternative, lowest first.

    Four voices, the tune one of them (and a given bass another), where the chords allow
    it; block chords elsewhere.
    """
    return _voice(work.choices.question, number)


@lru_cache(maxsize=_KEPT)
def _voice(question: Question, number: int) -> Chords:
    one, given = answer(question).alternatives[number], open_given(question)
    names = [voice.name for voice in find_ensemble(PLAYED_BY).voices]
    own = names.index(LIES_IN.get(given.kind, names[0]))
    taken = {own, len(names) - 1} if given.kind == BOTH else {own}
    try:
        # Pedals are written beside these voices, so none of them is taken up by one.
        chords_alone = replace(one, held=())
        voiced = voice_under_melody(chords_alone, PLAYED_BY, voice=names[own], bass=given.bass)
        chords = tuple(
            tuple(pitch for voice, pitch in enumerate(pitches) if voice not in taken)
            for pitches in voiced.alternatives[0].pitches
        )
    except HarmonyError:
        # Stacks of fourths and chords of five notes have no voicing in four voices.
        has_bass = given.kind in (BASS, BOTH)
        chords = tuple(_block(slot)[int(has_bass) :] for slot in one.progression)
    pairs = zip(one.progression, chords, strict=True)
    return tuple(_with_held(one, slot, pitches) for slot, pitches in pairs)


def _with_held(one: Harmonisation, slot: Slot, pitches: Sequence[Pitch]) -> tuple[Pitch, ...]:
    """A chord with the notes of pedals that its voices do not have yet, lowest first."""
    sounding = {pitch.name for pitch in pitches}
    held = one.held_at(slot.onset)
    added = [place_held((note,))[0] for note in held if note.name not in sounding]
    return tuple(sorted((*pitches, *added), key=lambda pitch: pitch.midi))


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
    chords = tuple(
        _without_held(one, slot, pitches)
        for slot, pitches in zip(one.progression, chords_of(work, work.number), strict=True)
    )
    below = build_reduction(one, chords, name="Chords", prefix="s")
    tune, _, *held = score.parts
    given = open_given(work.choices.question)
    counter = counter_of(work)
    above = [] if given.kind == BASS else [tune]
    if counter is not None:
        above.append(line_to_part(counter, COUNTER, prefix="counter-"))
    lowest = [tune] if given.kind == BASS else []
    if given.bass is not None:
        lowest.append(line_to_part(given.bass, "Bass", prefix="bass-"))
    return replace(score, parts=(*above, below, *held, *lowest))


def _without_held(one: Harmonisation, slot: Slot, pitches: tuple[Pitch, ...]) -> tuple[Pitch, ...]:
    """A chord without the notes that a part of its own holds, its own members apart."""
    own = () if slot.chord is None else slot.chord.names
    for note in one.held_at(slot.onset):
        outer = {"below": 0, "above": len(pitches) - 1}.get(note.place)
        if outer is not None and len(pitches) > 1 and pitches[outer].name == note.name:
            pitches = pitches[:outer] + pitches[outer + 1 :]
        if note.name not in own:
            pitches = tuple(pitch for pitch in pitches if pitch.name != note.name)
    return pitches
