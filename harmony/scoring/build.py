"""Scores made from lines, themes and progressions, and lines taken out of scores."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme
from harmony.scoring.clef import ClefChange
from harmony.scoring.direction import Harmony, KeyChange, Tempo
from harmony.scoring.event import Event, Grace
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Score

_START = Fraction(0)
_BLOCK_BASS_LOWEST = 36  # C2
_MIDDLE = 60


def line_to_events(line: Line, *, prefix: str, voice: int = 1) -> tuple[Event, ...]:
    """Give the events of a line; the note of index i has the id ``{prefix}{i}``."""
    return tuple(
        Event(
            onset=note.onset,
            duration=note.duration,
            pitches=() if note.pitch is None else (note.pitch,),
            voice=voice,
            ties=() if note.pitch is None or note.tie is None else (note.tie,),
            slurs=tuple(
                (mark.removeprefix("slur-"), 1) for mark in note.marks if mark.startswith("slur-")
            ),
            marks=tuple(mark for mark in note.marks if not mark.startswith("slur-")),
            grace=Grace() if note.duration == 0 else None,
            id=f"{prefix}{index}",
        )
        for index, note in enumerate(line)
    )


def usual_clef(pitches: list[Pitch]) -> str:
    """Choose treble or bass, whichever keeps the middle of the pitches nearer its staff."""
    if not pitches:
        return "treble"
    heights = sorted(pitch.midi for pitch in pitches)
    return "treble" if heights[len(heights) // 2] >= _MIDDLE - 1 else "bass"


def theme_to_score(theme: Theme, *, part_name: str = "Theme") -> Score:
    """Give the one-part score of a theme; its notes have the ids n0, n1, ..."""
    sounding = [note.pitch for note in theme.line if note.pitch is not None]
    staff = Staff(
        line_to_events(theme.line, prefix="n"), (ClefChange(_START, usual_clef(sounding)),)
    )
    return Score(
        parts=(Part(part_name, (staff,)),),
        meters=theme.meters,
        tempi=theme_to_tempi(theme),
        keys=() if theme.key is None else (KeyChange(_START, theme.key),),
        title=theme.title,
        source=theme.source,
    )


def theme_to_tempi(theme: Theme) -> tuple[Tempo, ...]:
    """Give the tempo mark of a theme, if it has a tempo: of dotted beats where it has such."""
    if theme.quarters_per_minute is None:
        return ()
    meter = theme.meters.changes[0][1]
    beat = meter.beats_quarters[0] if meter.is_compound else Fraction(1)
    return (Tempo(_START, theme.quarters_per_minute, beat_quarters=beat),)


def progression_to_harmonies(progression: Progression) -> tuple[Harmony, ...]:
    """Give the chords of a progression as they stand in a score.

    A Roman numeral is printed below and its chord symbol above; a chord symbol
    is printed above as it was typed.
    """
    found = []
    for slot in progression:
        figure = slot.figure
        if slot.chord is None:
            found.append(Harmony(slot.onset, None, figure))
        elif is_numeral(figure):
            found.append(Harmony(slot.onset, slot.chord, "", figure))
        else:
            found.append(Harmony(slot.onset, slot.chord, figure))
    return tuple(found)


def is_numeral(figure: str) -> bool:
    """True where a figure is written from a scale degree rather than from a root.

    >>> is_numeral("bVII6"), is_numeral("Bb7"), is_numeral("Ger65")
    (True, False, True)
    """
    bare = figure.lstrip("#b♯♭")
    return bare.startswith(("I", "V", "i", "v", "Cad", "N6", "It", "Fr", "Ger")) or bare == "N"


def progression_to_keys(progression: Progression) -> tuple[KeyChange, ...]:
    """Give the key signatures of a progression: its first key, and each later change."""
    changes: list[KeyChange] = []
    for slot in progression:
        if slot.key is not None and (not changes or changes[-1].key != slot.key):
            changes.append(KeyChange(slot.onset if changes else _START, slot.key))
    return tuple(changes)


def block_pitches(chord: Chord) -> tuple[Pitch, ...]:
    """Give a chord in close position over its bass, lowest first.

    Pitches that the composer fixed stay; names that were stacked keep their
    order; otherwise the bass lies in the third octave (C3 to B3) and the other
    names stand above it in order of height.
    """
    if chord.fixed:
        return chord.fixed
    bass = chord.bass.in_octave(3)
    while bass.midi >= _BLOCK_BASS_LOWEST + 24:
        bass = replace(bass, octave=bass.octave - 1)
    above: list[Pitch] = []
    for name in chord.names[1:]:
        pitch = name.in_octave(2)
        lowest = above[-1].midi if above and chord.stacked else bass.midi
        while pitch.midi <= lowest:
            pitch = replace(pitch, octave=pitch.octave + 1)
        above.append(pitch)
    if not chord.stacked:
        above.sort(key=lambda pitch: pitch.midi)
    return (bass, *above)


def progression_to_score(progression: Progression, *, title: str = "") -> Score:
    """Give the chords as block chords on two staves, basses on the lower one.

    The chord of slot i has the ids ``s{i}`` (upper staff) and ``s{i}b`` (bass).
    """
    upper, lower = [], []
    for index, slot in enumerate(progression):
        pitches = () if slot.chord is None else block_pitches(slot.chord)
        upper.append(Event(slot.onset, slot.duration, pitches[1:], id=f"s{index}"))
        lower.append(Event(slot.onset, slot.duration, pitches[:1], id=f"s{index}b"))
    staves = (
        Staff(tuple(upper)),
        Staff(tuple(lower), (ClefChange(_START, "bass"),)),
    )
    return Score(
        parts=(Part("Chords", staves, instrument="piano", sustains=False),),
        meters=progression.meters,
        harmonies=progression_to_harmonies(progression),
        keys=progression_to_keys(progression),
        title=title,
    )


def part_to_line(part: Part) -> Line:
    """Give the tune of a part: the highest pitch of its first voice at each time."""
    staff = part.staves[0]
    if not staff.voices:
        raise HarmonyError(f"The part {part.name} has no notes; a part with notes is accepted.")
    notes = []
    for event in staff.voice(staff.voices[0]):
        slurs = tuple(f"slur-{kind}" for kind, _ in event.slurs)
        top = max(event.pitches, key=lambda pitch: pitch.midi, default=None)
        tie = event.tie_of.get(top) if top is not None else None
        notes.append(Note(event.onset, event.duration, top, tie, event.marks + slurs))
    return Line(tuple(notes))
