"""Change of mode: the same degrees in another scale."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from harmony.errors import HarmonyError
from harmony.pitch import Interval, Key, Pitch, Theme, transpose
from harmony.tables import read_rows
from harmony.themes.degrees import key_of, pitch_to_place
from harmony.themes.transform import derive, map_pitches


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale by the intervals of its notes above the tonic.

    ``is_key_mode`` says whether a key of this house can be in it.
    """

    name: str
    intervals: tuple[Interval, ...]
    is_key_mode: bool


@cache
def scales() -> dict[str, Scale]:
    """Give the scales of data/scales.csv by name."""
    rows = read_rows("scales.csv", _row_to_scale, needs=("name", "intervals", "key_mode"))
    return {scale.name: scale for scale in rows}


def _row_to_scale(row: Mapping[str, str]) -> Scale:
    intervals = tuple(Interval.from_text(text) for text in row["intervals"].split())
    return Scale(row["name"], intervals, row["key_mode"] == "yes")


def change_mode(theme: Theme, scale: str) -> Theme:
    """Give the theme with its degrees moved into another scale on the same tonic.

    In a scale of seven notes each degree keeps its letter and takes the new
    scale's alteration; what was altered stays altered by as much, unless it is a
    note of the new scale already. In a scale of another size each note goes to
    the nearest note of the scale (the lower of two equally near).
    """
    name = scale.strip().lower().replace("aeolian", "minor").replace("ionian", "major")
    if name not in scales():
        known = ", ".join(scales())
        raise HarmonyError(f"{scale!r} is not a scale known here; known are {known}.")
    key = key_of(theme)
    intervals = scales()[name].intervals
    tonic = key.tonic
    if len(intervals) == 7:
        by_step = {transpose(tonic, interval).step: interval for interval in intervals}

        def keep_letter(pitch: Pitch) -> Pitch:
            _, alter = pitch_to_place(pitch, key)
            target = transpose(tonic, by_step[pitch.name.step])
            if alter and pitch.name == target:
                return pitch  # it was borrowed from this scale already
            return Pitch(pitch.letter, target.alter + alter, pitch.octave)

        move: Callable[[Pitch], Pitch] = keep_letter
    else:
        move = _nearest_in(intervals, tonic.in_octave(-1))
    new_key = Key(tonic, name) if scales()[name].is_key_mode else None
    return derive(theme, f"in {tonic} {name}", map_pitches(theme.line, move), key=new_key)


def _nearest_in(intervals: tuple[Interval, ...], low_tonic: Pitch) -> Callable[[Pitch], Pitch]:
    """Give the function that moves a pitch to the nearest note of a scale."""
    ladder = sorted(
        (
            transpose(low_tonic, interval + Interval(7 * octave, 12 * octave))
            for octave in range(11)
            for interval in intervals
        ),
        key=lambda pitch: pitch.midi,
    )

    def move(pitch: Pitch) -> Pitch:
        return min(
            ladder,
            key=lambda rung: (abs(rung.midi - pitch.midi), rung.letter != pitch.letter, rung.midi),
        )

    return move
