"""A harmonisation as a score: the tune, its chords on two staves, and what is held through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from harmony.harmonising.harmonisation import Harmonisation, Held
from harmony.harmonising.lines import BASS, BOTH, THE_MELODY, Given
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme
from harmony.scoring.build import (
    line_to_events,
    progression_to_score,
    theme_to_score,
    usual_clef,
)
from harmony.scoring.clef import ClefChange
from harmony.scoring.event import Event
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Score

#: The lowest pitch a held note may take below, inside and above block chords (MIDI numbers).
_LOWEST = {"below": 36, "inside": 54, "above": 72}
_NAMES = {"below": "Pedal", "inside": "Inner pedal", "above": "Pedal on top"}
_FIGURE = "Figure inside"  # what is held there in the idiom ostinato


def harmonisation_to_score(harmonisation: Harmonisation, given: Given = THE_MELODY) -> Score:
    """Give the tune on a staff of its own and the chords as blocks on two staves.

    The tune's notes have the ids n0, n1, ...; chord i has the ids ``s{i}`` and ``s{i}b``.
    A pedal is a part of its own, each note written once for as long as it is held; so is
    a counter-melody, under the tune. A bass that is given is the lowest staff, and the
    chords over it are written without their basses.
    """
    theme = harmonisation.theme
    below = progression_to_score(harmonisation.progression)
    above = theme_to_score(theme, part_name=theme.title or "Theme")
    title = f"{theme.title}: {harmonisation.name}" if theme.title else harmonisation.name
    chords = [replace(part, staves=part.staves[:1]) for part in below.parts]
    if given.kind not in (BASS, BOTH):
        chords = list(below.parts)
    tune, counter = list(above.parts), harmonisation.counter_melody
    beside = [] if counter is None else [line_to_part(counter, "Counter-melody", prefix="counter-")]
    lowest = [] if given.bass is None else [line_to_part(given.bass, "Bass", prefix="bass-")]
    if given.kind == BASS:
        tune, lowest = [], tune
    return replace(
        below,
        parts=(*tune, *beside, *chords, *held_to_parts(harmonisation), *lowest),
        tempi=above.tempi,
        keys=above.keys or below.keys[:1],
        title=title,
        source=theme.source,
    )


def line_to_part(line: Theme, name: str, *, prefix: str) -> Part:
    """Give a line as a part; the note of index i has the id ``{prefix}{i}``."""
    pitches = [note.pitch for note in line.line if note.pitch is not None]
    clef = ClefChange(Fraction(0), usual_clef(pitches))
    return Part(name, (Staff(line_to_events(line.line, prefix=prefix), (clef,)),))


def held_to_parts(harmonisation: Harmonisation) -> tuple[Part, ...]:
    """Give a part for the pedals of each place, or a figure: below, inside, above the chords.

    Two notes held together are one event of two pitches, the first of them lower.
    """
    parts = []
    for place, name in _NAMES.items():
        notes = [one for one in harmonisation.held if one.place == place]
        if not notes:
            continue
        together: dict[tuple[object, object], list[Held]] = {}
        for one in sorted(notes, key=lambda one: one.start):
            together.setdefault((one.start, one.end), []).append(one)
        events = tuple(
            Event(chord[0].start, chord[0].end - chord[0].start, place_held(chord), id=f"h{index}")
            for index, chord in enumerate(together.values())
        )
        clef = usual_clef([pitch for event in events for pitch in event.pitches])
        staff = Staff(events, (ClefChange(harmonisation.progression.slots[0].onset, clef),))
        parts.append(Part(_FIGURE if harmonisation.idiom == "ostinato" else name, (staff,)))
    return tuple(parts)


def place_held(held: Sequence[Held]) -> tuple[Pitch, ...]:
    """Give pitches for notes held together in one place, each the next above the one before."""
    lowest, pitches = _LOWEST[held[0].place], []
    for one in held:
        pitch = one.name.in_octave(1)
        while pitch.midi < lowest:
            pitch = replace(pitch, octave=pitch.octave + 1)
        pitches.append(pitch)
        lowest = pitch.midi + 1
    return tuple(pitches)
