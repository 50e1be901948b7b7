"""Transformations of pitch and order: transposition, inversion, retrograde.

Every function takes a theme and gives a new one, properly spelled, that names
its parent and what was done to it. Real operations keep exact intervals;
diatonic ones keep steps of the theme's key and what was altered in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch import Interval, Key, Line, Note, Pitch, Theme, transpose
from harmony.themes.degrees import key_of, pitch_to_place, place_to_pitch

#: A tonal answer mends the head of the theme, not its whole course.
HEAD_NOTES = 6
_BACKWARD_TIES = {None: None, "start": "stop", "stop": "start", "continue": "continue"}


def derive(theme: Theme, operation: str, line: Line, **changes: object) -> Theme:
    """Give the theme on a new line, remembering the parent and the operation."""
    lineage = theme.parent or (theme.title or theme.source or "theme",)
    return replace(theme, line=line, parent=(*lineage, operation), **changes)  # type: ignore[arg-type]


def map_pitches(line: Line, change: Callable[[Pitch], Pitch]) -> Line:
    """Give the line with every pitch changed and every rest and time kept."""
    return Line(
        tuple(
            note if note.pitch is None else replace(note, pitch=change(note.pitch)) for note in line
        )
    )


def read_in_key(theme: Theme, key: Key) -> Theme:
    """Give the theme as read in a key; no note changes."""
    return derive(theme, f"key {key.tonic} {key.mode}", theme.line, key=key)


def transpose_real(theme: Theme, interval: Interval) -> Theme:
    """Move by an exact interval; the key moves too."""
    key = theme.key and Key(transpose(theme.key.tonic, interval), theme.key.mode)
    line = map_pitches(theme.line, lambda pitch: transpose(pitch, interval))
    return derive(theme, f"transposed by {interval}", line, key=key)


def transpose_diatonic(theme: Theme, steps: int) -> Theme:
    """Move by steps of the scale within the key (2 is a third up)."""
    return derive(
        theme,
        f"moved {abs(steps)} step{'s' if abs(steps) != 1 else ''} {'up' if steps >= 0 else 'down'}",
        move_in_key(theme.line, steps, key_of(theme)),
    )


def move_in_key(line: Line, steps: int, key: Key) -> Line:
    """Give a line moved by steps of a key's scale; what is altered in it stays altered."""

    def move(pitch: Pitch) -> Pitch:
        step, alter = pitch_to_place(pitch, key)
        return place_to_pitch(step + steps, alter, key)

    return map_pitches(line, move)


def answer_tonally(theme: Theme) -> Theme:
    """Give the tonal answer at the fifth above.

    The tonic is answered by the dominant and the dominant by the tonic while the
    head of the subject stands on them (up to its first leap away or its sixth
    note, common practice); the rest is answered a fifth higher.
    """
    key = key_of(theme)
    fifth = Interval(4, 7)
    fourth = Interval(3, 5)
    notes: list[Note] = []
    in_head = True
    for place, note in enumerate(theme.line):
        if note.pitch is None:
            notes.append(note)
            continue
        degree = (note.pitch.name.step - key.tonic.step) % 7
        if place >= HEAD_NOTES or degree not in (0, 4):
            in_head = False
        by = fourth if in_head and degree == 4 else fifth
        notes.append(note.transposed(by))
    return derive(theme, "tonal answer", Line(tuple(notes)))


def invert_real(theme: Theme, axis: Pitch) -> Theme:
    """Turn every interval over about a pitch, exactly."""

    def turn(pitch: Pitch) -> Pitch:
        away = Interval.between(axis, pitch)
        return transpose(axis, -away)

    return derive(theme, f"inverted about {axis}", map_pitches(theme.line, turn), key=None)


def invert_diatonic(theme: Theme, axis: Pitch) -> Theme:
    """Turn every step over about a pitch within the key; alterations turn too."""
    key = key_of(theme)
    centre, _ = pitch_to_place(axis, key)

    def turn(pitch: Pitch) -> Pitch:
        step, alter = pitch_to_place(pitch, key)
        return place_to_pitch(2 * centre - step, -alter, key)

    return derive(theme, f"inverted about {axis} in {key}", map_pitches(theme.line, turn))


def reverse(theme: Theme) -> Theme:
    """Give the theme from its last note to its first, filling the same time."""
    return derive(theme, "retrograde", reverse_line(theme.line))


def reverse_line(line: Line) -> Line:
    """Give a line backward within its own span of time."""
    start, end = line.start, line.end
    return Line(
        tuple(
            replace(note, onset=start + (end - note.end), tie=_BACKWARD_TIES[note.tie])
            for note in reversed(line.notes)
        )
    )


def expand_intervals(theme: Theme, factor: Fraction) -> Theme:
    """Widen (above 1) or narrow (below 1) every step from the first note, in the key.

    Distances in steps from the first note are multiplied and rounded away from
    it, so a second doubled is a third.
    """
    if factor <= 0:
        raise HarmonyError(f"{factor} cannot widen intervals; give a number above 0 such as 2.")
    key = key_of(theme)
    first = theme.line.sounding[0].pitch
    assert first is not None  # sounding notes have pitches
    home, _ = pitch_to_place(first, key)

    def spread(pitch: Pitch) -> Pitch:
        step, alter = pitch_to_place(pitch, key)
        distance = step - home
        size = abs(distance) * factor
        whole = -(-size.numerator // size.denominator)
        return place_to_pitch(home + (whole if distance >= 0 else -whole), alter, key)

    return derive(theme, f"intervals times {factor}", map_pitches(theme.line, spread))
