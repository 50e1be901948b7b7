"""A realisation as a score: staves, ties over common notes left as written, chord names."""

from __future__ import annotations

from fractions import Fraction

from harmony.instruments.ensemble import Ensemble
from harmony.pitch.spelling import Pitch
from harmony.scoring.build import (
    line_to_events,
    progression_to_harmonies,
    progression_to_keys,
    usual_clef,
)
from harmony.scoring.clef import ClefChange
from harmony.scoring.event import Event
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Score
from harmony.voicings.realisation import Realisation

_START = Fraction(0)


def realisation_to_score(realisation: Realisation) -> Score:
    """Give the score of a realisation in concert pitch.

    One staff a voice, or as the ensemble lays out its staves.  The note of voice v
    (from the top, 0) at chord s has the id ``s{s}v{v}``; the notes of a given line
    keep its own rhythm and have the ids ``g{v}n{i}``.
    """
    ensemble = realisation.ensemble
    staves = ensemble.staves or tuple((v.name, (i,)) for i, v in enumerate(ensemble.voices))
    return Score(
        parts=_parts(realisation, staves),
        meters=realisation.progression.meters,
        harmonies=progression_to_harmonies(realisation.progression),
        keys=progression_to_keys(realisation.progression),
    )


def _parts(
    realisation: Realisation, staves: tuple[tuple[str, tuple[int, ...]], ...]
) -> tuple[Part, ...]:
    ensemble = realisation.ensemble
    single = _is_one_player(ensemble, staves)
    built = [(name, voices, _staff(realisation, voices)) for name, voices in staves]
    if single:
        player = ensemble.voices[0].player
        whole = tuple(staff for _, _, staff in built)
        return (_part(player.instrument.name.capitalize(), whole, ensemble, 0),)
    return tuple(_part(name, (staff,), ensemble, voices[0]) for name, voices, staff in built)


def _is_one_player(ensemble: Ensemble, staves: tuple[tuple[str, tuple[int, ...]], ...]) -> bool:
    players = {voice.player.instrument.name for voice in ensemble.voices}
    instrument = ensemble.voices[0].player.instrument
    return len(players) == 1 and instrument.staves > 1 and len(staves) == instrument.staves


def _part(name: str, staves: tuple[Staff, ...], ensemble: Ensemble, voice: int) -> Part:
    instrument = ensemble.voices[voice].player.instrument
    return Part(
        name,
        staves,
        abbreviation=instrument.abbreviation,
        instrument=instrument.name,
        transposition=instrument.transposition,
        midi_program=instrument.midi_program,
        sound=instrument.sound,
        sustains=instrument.sustains,
    )


def _staff(realisation: Realisation, voices: tuple[int, ...]) -> Staff:
    events: list[Event] = []
    heard: list[Pitch] = []
    for number, voice in enumerate(voices, start=1):
        given = next((line for line in realisation.given if line.voice == voice), None)
        if given is not None:
            events += line_to_events(given.line, prefix=f"g{voice}n", voice=number)
            heard += [note.pitch for note in given.line if note.pitch is not None]
            continue
        for slot, pitches in enumerate(realisation.pitches):
            own = realisation.progression.slots[slot]
            sounding = (pitches[voice],) if pitches else ()
            heard += sounding
            events.append(Event(own.onset, own.duration, sounding, number, id=f"s{slot}v{voice}"))
    events.sort(key=lambda event: (event.onset, event.voice))
    instrument = realisation.ensemble.voices[voices[0]].player.instrument
    clef = instrument.clefs[0] if len(voices) == 1 and instrument.staves == 1 else usual_clef(heard)
    return Staff(tuple(events), (ClefChange(_START, clef),))
