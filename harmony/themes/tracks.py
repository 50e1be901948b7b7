"""Lines laid on a grid of ticks, as the arrays that counterpoint is judged from."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import gcd, lcm

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError
from harmony.pitch import Line, MeterMap, Pitch

Ints = NDArray[np.int16]
Flags = NDArray[np.bool_]
NO_NEIGHBOUR = 99  # steps to a neighbour that is not there (a rest, the end)
MIDI_PLACE = 64  # code = 64 * MIDI number + place on the line of fifths


@dataclass(frozen=True, slots=True)
class Track:
    """One line on ticks 0..T-1; every array has shape (T,).

    ``code`` is 64 x MIDI number + place on the line of fifths, so that a
    difference of codes is a spelled interval. ``approach`` and ``leave`` are staff
    steps from the note before and to the note after (99 across a rest),
    ``rise`` the sign of the motion into the note, all constant over a note;
    ``before`` the ticks between this note's onset and the one before.
    """

    code: Ints
    sounding: Flags
    onset: Flags
    approach: Ints
    leave: Ints
    rise: Ints
    before: Ints

    @property
    def ticks(self) -> int:
        """The number of ticks."""
        return len(self.code)


def pitch_to_code(pitch: Pitch) -> int:
    """Give 64 x MIDI number + place on the line of fifths."""
    return MIDI_PLACE * pitch.midi + pitch.name.fifths


def common_tick(times: list[Fraction], ratios: tuple[Fraction, ...] = (Fraction(1),)) -> Fraction:
    """Give the longest tick that divides all times, also multiplied by each ratio."""
    values = [abs(time * ratio) for time in times for ratio in ratios if time]
    if not values:
        return Fraction(1)
    bottom = lcm(*(value.denominator for value in values))
    return Fraction(gcd(*(int(value * bottom) for value in values)), bottom)


def line_times(line: Line) -> list[Fraction]:
    """Give every onset and duration of a line."""
    return [time for note in line for time in (note.onset, note.duration)]


def line_to_track(line: Line, tick: Fraction, ticks: int) -> Track:
    """Lay a line on ``ticks`` ticks of ``tick`` quarters from time 0."""
    code = np.zeros(ticks, np.int16)
    sounding = np.zeros(ticks, bool)
    onset = np.zeros(ticks, bool)
    approach = np.full(ticks, NO_NEIGHBOUR, np.int16)
    leave = np.full(ticks, NO_NEIGHBOUR, np.int16)
    rise = np.zeros(ticks, np.int16)
    before = np.zeros(ticks, np.int16)
    notes = [note for note in line.sounding if note.duration]
    for index, note in enumerate(notes):
        pitch = note.pitch
        assert pitch is not None  # sounding notes have pitches
        start, stop = int(note.onset / tick), int(note.end / tick)
        span = slice(start, min(stop, ticks))
        if start >= ticks:
            break
        code[span] = pitch_to_code(pitch)
        sounding[span] = True
        onset[start] = True
        if index and notes[index - 1].end == note.onset:
            last = notes[index - 1].pitch
            assert last is not None
            approach[span] = pitch.staff_step - last.staff_step
            rise[span] = np.sign(pitch.midi - last.midi)
            before[span] = int((note.onset - notes[index - 1].onset) / tick)
        if index + 1 == len(notes):
            leave[span] = 0  # the last note has nothing to answer for
        elif notes[index + 1].onset == note.end:
            after = notes[index + 1].pitch
            assert after is not None
            leave[span] = after.staff_step - pitch.staff_step
    return Track(code, sounding, onset, approach, leave, rise, before)


@lru_cache(maxsize=64)
def tick_weights(meters: MeterMap, tick: Fraction, ticks: int) -> NDArray[np.int8]:
    """Give how strong each tick is in its bar, 4 (downbeat) to 0."""
    if tick * ticks > 4000:
        raise HarmonyError("That is longer than a theme; take a part of it (at most 100 bars).")
    weights = np.array([meters.weight(index * tick) for index in range(ticks)], np.int8)
    weights.flags.writeable = False  # the same array is handed to every caller
    return weights
