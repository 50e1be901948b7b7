"""Notes of pedals that chords written out have no word for, each in a voice of the players.

A chord is written over or under one held note. A second one, one inside the chords, and
one whose place the tune has, take a voice of their own: held as long as they are, and
outside that with the notes of the chords.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from harmony.errors import HarmonyError
from harmony.harmonising.easing import find_let_go
from harmony.harmonising.harmonisation import Harmonisation, Held
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme

if TYPE_CHECKING:
    from harmony.instruments.ensemble import Ensemble, Voice
    from harmony.voicings.problem import Problem
    from harmony.voicings.realisation import Realisation

#: Voices with these lines given, prepared; it raises where they leave no voicing.
Preparing = Callable[[Mapping[str, Theme]], "Problem"]
_ABOVE, _BELOW = "above", "below"
_HARDLY = 1 / 6  # places of all chords in which a rule may be let go
_TRIED = 3  # inner voices tried, those in the middle first


@dataclass(frozen=True, slots=True)
class HeldVoice:
    """What became of a held note, or of several one after another in the same place.

    ``voice`` is the name of the voice that has it, empty where none can.
    """

    held: tuple[Held, ...]
    voice: str = ""


def place_pedals(
    one: Harmonisation, ensemble: Ensemble, lines: Mapping[str, Theme], prepare: Preparing
) -> tuple[dict[str, Theme], tuple[HeldVoice, ...]]:
    """Give the lines with one more for each pedal that chords have no word for.

    Voices and octaves are tried from where the pedal has its place: from below, from
    above, or from the middle. The first is taken round which hardly a rule has to be let
    go, else the one round which the fewest are.
    """
    names = [voice.name for voice in ensemble.voices]
    placed, told = dict(lines), []
    for held in _join_in_time(list_unwritten(one, names, lines)):
        found = _place(one, held, ensemble, placed, prepare)
        if found is not None:
            placed[found[0]] = found[1]
        told.append(HeldVoice(held, "" if found is None else found[0]))
    return placed, tuple(told)


def _place(
    one: Harmonisation,
    held: tuple[Held, ...],
    ensemble: Ensemble,
    lines: Mapping[str, Theme],
    prepare: Preparing,
) -> tuple[str, Theme] | None:
    """The voice that holds these notes and its line; None where no voice can."""
    names = [voice.name for voice in ensemble.voices]
    best: tuple[int, str, Theme] | None = None
    for name in _list_voices(held[0].place, names, lines):
        for line in _list_octaves(held, ensemble.voices[names.index(name)]):
            theme = replace(one.theme, line=line)
            try:
                problem = prepare({**lines, name: theme})
                realised = problem.best()
            except HarmonyError:
                continue  # the players have no voicing around it there
            broken = len(find_let_go(problem, realised))
            if best is None or broken < best[0]:
                filled = _fill(line, realised, names.index(name))
                best = broken, name, replace(theme, line=filled)
            if broken <= _HARDLY * len(one.progression):
                return name, best[2]
    return None if best is None else best[1:]


def list_unwritten(
    one: Harmonisation, voices: list[str], lines: Mapping[str, Theme]
) -> tuple[Held, ...]:
    """List what is held and stands in no chord, or where a given line has its place."""
    taken = {
        place
        for place, name in ((_ABOVE, voices[0]), (_BELOW, voices[-1]))
        if name in lines
    }  # fmt: skip
    return tuple(
        note
        for note in one.held
        if any(
            slot.pedal != note.name
            or slot.pedal_above != (note.place == _ABOVE)
            or note.place in taken
            for slot in one.progression
            if note.start <= slot.onset < note.end
        )
    )


def say_pedals(told: tuple[HeldVoice, ...]) -> str:
    """Tell which voices hold what; empty where chords have words for all that is held."""
    words = []
    for one in told:
        names = " and then ".join(dict.fromkeys(_write(note) for note in one.held))
        words.append(
            f"{names}, held through the chords, lies in {one.voice}."
            if one.voice
            else f"{names}, held through the chords, is left out: no voice of these players can"
            " hold it with the tune and the chords; more voices, or the tune in another, may."
        )
    return " ".join(words)


def _write(note: Held) -> str:
    return str(note.name).replace("#", "\u266f").replace("b", "\u266d")


def _join_in_time(notes: tuple[Held, ...]) -> list[tuple[Held, ...]]:
    """Put notes of one place that follow each other into one line."""
    strands: list[list[Held]] = []
    for note in sorted(notes, key=lambda one: one.start):
        for strand in strands:
            if strand[-1].place == note.place and strand[-1].end <= note.start:
                strand.append(note)
                break
        else:
            strands.append([note])
    return [tuple(strand) for strand in strands]


def _list_voices(place: str, names: list[str], lines: Mapping[str, Theme]) -> list[str]:
    """The voices a held note may have: the outer one left for its place, else inner ones."""
    free = [name for name in names[:-1] if name not in lines]
    if place == _ABOVE:
        return free[:1]
    if place == _BELOW:
        return free[-1:]
    inner = [name for name in free if name != names[0]] or free
    middle = len(names) / 2
    return sorted(inner, key=lambda name: abs(names.index(name) - middle))[:_TRIED]


def _list_octaves(held: tuple[Held, ...], voice: Voice) -> list[Line]:
    """The line in every octave within a voice's register, in the order to be tried."""
    lines = []
    for octave in range(voice.low.octave, voice.high.octave + 1):
        pitches = [held[0].name.in_octave(octave)]
        for note in held[1:]:
            pitches.append(_nearest(note, pitches[-1]))
        if all(voice.low.midi <= pitch.midi <= voice.high.midi for pitch in pitches):
            pairs = zip(held, pitches, strict=True)
            lines.append(Line(tuple(Note(h.start, h.end - h.start, pitch) for h, pitch in pairs)))
    if held[0].place == _ABOVE:
        return lines[::-1]
    if held[0].place == _BELOW:
        return lines
    middle = (voice.low.midi + voice.high.midi) / 2
    return sorted(lines, key=lambda line: abs(_height(line) / len(line) - middle))


def _height(line: Line) -> int:
    return sum(note.pitch.midi for note in line if note.pitch is not None)


def _nearest(note: Held, before: Pitch) -> Pitch:
    octaves = range(before.octave - 1, before.octave + 2)
    return min(map(note.name.in_octave, octaves), key=lambda one: abs(one.midi - before.midi))


def _fill(line: Line, realised: Realisation, place: int) -> Line:
    """The line with the notes that its voice found for the chords in which nothing is held."""
    notes = list(line.notes)
    for slot, pitches in zip(realised.progression, realised.pitches, strict=True):
        for start, end in _free(slot.onset, slot.onset + slot.duration, line):
            notes.append(Note(start, end - start, pitches[place] if pitches else None))
    return Line(tuple(sorted(notes, key=lambda note: note.onset)))


def _free(start: Fraction, end: Fraction, line: Line) -> Iterator[tuple[Fraction, Fraction]]:
    """The stretches from ``start`` to ``end`` in which the line has no note."""
    for note in line:
        if note.end <= start or note.onset >= end:
            continue
        if start < note.onset:
            yield start, note.onset
        start = note.end
    if start < end:
        yield start, end
