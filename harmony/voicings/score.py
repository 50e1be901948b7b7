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
from harmony.scoring.part import Group, Part, Staff
from harmony.scoring.score import Score
from harmony.voicings.realisation import Realisation

_START = Fraction(0)


def realisation_to_score(realisation: Realisation) -> Score:
    """Give the score of a realisation in concert pitch.

    One staff a voice, or as the ensemble lays out its staves, in the order of a score
    with a bracket for each section.  The note of voice v
    (from the top, 0) at chord s has the id ``s{s}v{v}``; the notes of a given line
    keep its own rhythm and have the ids ``g{v}n{i}``.
    """
    ensemble = realisation.ensemble
    rows = _rows(ensemble)
    return Score(
        parts=tuple(_build_part(realisation, row) for row in rows),
        meters=realisation.progression.meters,
        harmonies=progression_to_harmonies(realisation.progression),
        keys=progression_to_keys(realisation.progression),
        groups=_brackets(ensemble, rows),
    )


#: A part on paper: the name and the voices of each of its staves.
_Row = list[tuple[str, tuple[int, ...]]]


def _rows(ensemble: Ensemble) -> list[_Row]:
    """Give the parts in score order; the staves of a keyboard stand together."""
    staves = ensemble.staves or tuple((v.name, (i,)) for i, v in enumerate(ensemble.voices))
    places = {voice: place for place, voice in enumerate(ensemble.score_order)}
    rows: list[_Row] = []
    for staff in sorted(staves, key=lambda staff: places[staff[1][0]]):
        instrument = ensemble.voices[staff[1][0]].player.instrument
        before = rows[-1] if rows else None
        if (
            before is not None
            and len(before) < instrument.staves
            and ensemble.voices[before[0][1][0]].player.instrument == instrument
        ):
            before.append(staff)
        else:
            rows.append([staff])
    return rows


def _brackets(ensemble: Ensemble, rows: list[_Row]) -> tuple[Group, ...]:
    """Join the parts of each section by a bracket; a lone part has none."""
    sections = ensemble.groups or ((ensemble.name, tuple(range(len(ensemble)))),)
    brackets = []
    for name, inside in sections:
        members = [
            index
            for index, row in enumerate(rows)
            if {v for _, vs in row for v in vs} & set(inside)
        ]
        if len(members) > 1 and members == list(range(members[0], members[-1] + 1)):
            brackets.append(Group(members[0], members[-1], name))
    return tuple(sorted(brackets, key=lambda group: group.first))


def _build_part(realisation: Realisation, row: _Row) -> Part:
    ensemble = realisation.ensemble
    instrument = ensemble.voices[row[0][1][0]].player.instrument
    name = row[0][0] if len(row) == 1 else instrument.name.capitalize()
    staves = tuple(_staff(realisation, voices) for _, voices in row)
    return _part(name, staves, ensemble, row[0][1][0])


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
