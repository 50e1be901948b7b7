"""From what readers found, bar by bar, to parts in absolute time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from harmony.pitch.interval import UNISON, Interval
from harmony.reading.bars import RawBar
from harmony.reading.losses import Losses
from harmony.reading.musicxml_direction import RawDirection, RawHarmony, RawTempo
from harmony.reading.musicxml_note import RawNote
from harmony.reading.musicxml_part import RawKey
from harmony.scoring.build import is_numeral
from harmony.scoring.clef import ClefChange
from harmony.scoring.direction import Direction, Harmony, KeyChange, Tempo
from harmony.scoring.event import Event
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Bar

_START = Fraction(0)


@dataclass(slots=True)
class RawPart:
    """A part as read."""

    name: str = ""
    abbreviation: str = ""
    instrument: str = ""
    sound: str = ""
    midi_program: int = 1
    transposition: Interval = UNISON
    staves: int = 1
    bars: list[RawBar] = field(default_factory=list)
    notes: list[tuple[int, RawNote]] = field(default_factory=list)
    clefs: list[tuple[int, Fraction, int, str]] = field(default_factory=list)
    keys: list[RawKey] = field(default_factory=list)
    directions: list[RawDirection] = field(default_factory=list)
    tempi: list[RawTempo] = field(default_factory=list)
    harmonies: list[RawHarmony] = field(default_factory=list)


def merge_bars(parts: Sequence[Sequence[RawBar]]) -> list[RawBar]:
    """Join the parts' accounts of each bar: the longest filling, the first word on the rest."""
    merged = []
    for index in range(max(len(bars) for bars in parts)):
        own = [bars[index] for bars in parts if index < len(bars)]
        first = own[0]
        merged.append(
            RawBar(
                first.label,
                next((bar.meter for bar in own if bar.meter), None),
                max(bar.filled for bar in own),
                first.left,
                first.right,
                first.repeats,
                first.ending,
            )
        )
    return merged


def build_part(part: RawPart, bars: Sequence[Bar], losses: Losses) -> Part:
    """Give the part with its events in absolute time."""
    events: list[dict[str, list[Event]]] = [{} for _ in range(part.staves)]
    for bar, note in part.notes:
        if not note.pitches and note.grace is None:
            room = bars[bar].length - note.offset
            if room < note.duration:
                losses.tell("Rests beyond the end of their bar are left out.")
                note.duration = max(room, _START)
            if not note.duration:
                continue
        lane = events[min(note.staff, part.staves) - 1]
        lane.setdefault(note.voice, []).append(_to_event(note, bars[bar].onset))
    staves = []
    for number in range(part.staves):
        clefs = _clefs(part, number + 1, bars)
        directions = [
            _to_direction(direction, bars)
            for direction in part.directions
            if min(direction.staff, part.staves) == number + 1
        ]
        directions.sort(key=lambda direction: direction.onset)
        staves.append(Staff(_join_voices(events[number], losses), clefs, tuple(directions)))
    return Part(
        part.name,
        tuple(staves),
        abbreviation=part.abbreviation,
        instrument=part.instrument,
        transposition=part.transposition,
        midi_program=part.midi_program,
        sound=part.sound,
    )


def _to_event(note: RawNote, start: Fraction) -> Event:
    return Event(
        start + note.offset,
        note.duration,
        tuple(note.pitches),
        ties=tuple(note.ties) if any(note.ties) else (),
        slurs=tuple(note.slurs),
        marks=tuple(note.marks),
        lyrics=tuple(note.lyrics),
        tuplet=note.tuplet,
        grace=note.grace,
        id=note.id,
    )


def _join_voices(voices: dict[str, list[Event]], losses: Losses) -> tuple[Event, ...]:
    """Number the voices of a staff from 1; what overlaps inside one moves to another."""
    names = sorted(voices, key=lambda name: (len(name), name))  # 2 before 10
    ends: list[Fraction] = []
    joined: list[Event] = []
    for name in names:
        home = len(ends)
        ends.append(_START)
        for event in sorted(voices[name], key=lambda event: event.onset):
            place = home
            if event.onset < ends[home]:
                losses.tell("Notes that overlap inside one voice are written in two.")
                place = next(
                    (v for v in range(home + 1, len(ends)) if ends[v] <= event.onset), len(ends)
                )
                if place == len(ends):
                    ends.append(_START)
            ends[place] = event.end
            joined.append(_with_voice(event, place + 1))
    joined.sort(key=lambda event: (event.onset, event.voice, event.duration > 0))
    return _renumbered(joined)


def _renumbered(events: list[Event]) -> tuple[Event, ...]:
    """Close gaps in the numbers of voices."""
    numbers = {voice: place for place, voice in enumerate(sorted({e.voice for e in events}), 1)}
    return tuple(_with_voice(event, numbers[event.voice]) for event in events)


def _with_voice(event: Event, voice: int) -> Event:
    return event if event.voice == voice else replace(event, voice=voice)


def _clefs(part: RawPart, staff: int, bars: Sequence[Bar]) -> tuple[ClefChange, ...]:
    found: dict[Fraction, str] = {}
    for bar, offset, number, name in part.clefs:
        if number == staff:
            found[bars[bar].onset + offset] = name
    if _START not in found:
        found[_START] = "bass" if staff == 2 else "treble"
    changes: list[ClefChange] = []
    for onset in sorted(found):
        if not changes or changes[-1].name != found[onset]:
            changes.append(ClefChange(onset, found[onset]))
    return tuple(changes)


def _to_direction(raw: RawDirection, bars: Sequence[Bar]) -> Direction:
    onset = bars[raw.bar].onset + raw.offset
    until = None
    if raw.kind in ("wedge", "octave", "pedal"):
        end = raw.end or (raw.bar, bars[raw.bar].length)
        until = max(bars[end[0]].onset + end[1], onset)
    place = raw.place if raw.place in ("above", "below") else "above"
    return Direction(onset, raw.kind, raw.text, place, until)


def merge_tempi(parts: Sequence[RawPart], starts: Sequence[Fraction]) -> tuple[Tempo, ...]:
    """Join the tempi of all parts, one at a time, those with words or a mark first."""
    found: dict[Fraction, Tempo] = {}
    for part in parts:
        for raw in part.tempi:
            if raw.quarters_per_minute is None:
                continue
            onset = starts[raw.bar] + raw.offset
            known = found.get(onset)
            if known is None or (not known.is_shown and raw.is_shown):
                words = raw.words or (known.words if known else "")
                found[onset] = Tempo(
                    onset, raw.quarters_per_minute, words, raw.beat_quarters, raw.is_shown
                )
            elif raw.words and not known.words:
                found[onset] = Tempo(
                    onset, known.quarters_per_minute, raw.words, known.beat_quarters, known.is_shown
                )
    return tuple(found[onset] for onset in sorted(found))


def merge_harmonies(parts: Sequence[RawPart], starts: Sequence[Fraction]) -> tuple[Harmony, ...]:
    """Join the chord names of all parts; at one time the first part's counts."""
    found: dict[Fraction, Harmony] = {}
    for part in parts:
        for raw in part.harmonies:
            onset = starts[raw.bar] + raw.offset
            found.setdefault(onset, Harmony(onset, raw.chord, raw.symbol))
    numerals = _take_numerals(parts[-1], found, starts)
    return tuple(replace(found[onset], numeral=numerals.get(onset, "")) for onset in sorted(found))


def _take_numerals(
    part: RawPart, harmonies: Mapping[Fraction, Harmony], starts: Sequence[Fraction]
) -> dict[Fraction, str]:
    """Take the words under the last staff that are numerals of the chords named above."""
    numerals: dict[Fraction, str] = {}
    kept = []
    for direction in part.directions:
        onset = starts[direction.bar] + direction.offset
        is_numeral_word = (
            direction.kind == "words"
            and direction.place == "below"
            and onset in harmonies
            and onset not in numerals
            and is_numeral(direction.text)
        )
        if is_numeral_word:
            numerals[onset] = direction.text
        else:
            kept.append(direction)
    part.directions = kept
    return numerals


def merge_keys(parts: Sequence[RawPart], starts: Sequence[Fraction]) -> tuple[KeyChange, ...]:
    """Give the signatures of the first part at concert pitch, else of the first part."""
    at_pitch = [part for part in parts if part.keys and not part.transposition.semitones]
    chosen = (at_pitch or [part for part in parts if part.keys] or [RawPart()])[0]
    changes: list[KeyChange] = []
    for raw in chosen.keys:
        change = KeyChange(starts[raw.bar] + raw.offset, raw.key)
        if changes and changes[-1].onset == change.onset:
            continue
        if not changes or changes[-1].key != change.key:
            changes.append(change)
    return tuple(changes)
