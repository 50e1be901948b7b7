"""Lines laid on a grid of ticks, note by note, as the arrays counterpoint is judged from."""

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
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]
NO_NEIGHBOUR = 99  # steps to a neighbour that is not there (a rest, the end)
MIDI_PLACE = 64  # code = 64 * MIDI number + place on the line of fifths


@dataclass(frozen=True, slots=True)
class Track:
    """The notes of one line, in ticks; every array has shape (notes,).

    ``code`` is 64 x MIDI number + place on the line of fifths, so that a
    difference of codes is a spelled interval; ``step`` is the staff step.
    ``approach`` and ``leave`` are staff steps from the note before and to the
    note after (99 across a rest), ``rise`` the sign of the motion into the note,
    ``before`` the ticks between this note's start and that of the one before.
    """

    start: Places
    end: Places
    code: Ints
    step: Places
    approach: Places
    leave: Places
    rise: Places
    before: Places

    @classmethod
    def of(cls, start: Places, end: Places, code: Ints, step: Places) -> Track:
        """Work out how each note is reached and left; notes are in order of time."""
        joined = end[:-1] == start[1:]
        moves = np.where(joined, np.diff(step), NO_NEIGHBOUR)
        rises = np.where(joined, np.sign(np.diff((code + MIDI_PLACE // 2) // MIDI_PLACE)), 0)
        gaps = np.where(joined, np.diff(start), 0)
        nothing = np.array([NO_NEIGHBOUR])
        return cls(
            start,
            end,
            code,
            step,
            np.concatenate([nothing, moves]),
            np.concatenate([moves, [0]]),  # the last note leads nowhere
            np.concatenate([[0], rises]),
            np.concatenate([[0], gaps]),
        )

    def moved_from_zero(self) -> Track:
        """Give the same notes beginning at tick 0."""
        first = self.start[0]
        return Track(
            self.start - first, self.end - first, self.code, self.step,
            self.approach, self.leave, self.rise, self.before,
        )  # fmt: skip

    def reshaped(self, ratio: Fraction, *, backward: bool, turned: bool) -> Track:
        """Give the notes from tick 0, durations times ``ratio``, backward, upside down.

        Codes stay the line's own; only how the notes are reached and left turns over.
        """
        start, end, code, step = self.start, self.end, self.code, self.step
        if backward:
            last = end[-1]
            start, end, code, step = last - end[::-1], last - start[::-1], code[::-1], step[::-1]
        first = start[0]
        start, end = (
            (ticks - first) * ratio.numerator // ratio.denominator for ticks in (start, end)
        )
        shaped = Track.of(start, end, code, step)
        if not turned:
            return shaped
        approach, leave = (
            np.where(steps == NO_NEIGHBOUR, steps, -steps)
            for steps in (shaped.approach, shaped.leave)
        )
        return Track(start, end, code, step, approach, leave, -shaped.rise, shaped.before)

    def notes_at(self, ticks: int) -> Places:
        """Give the number of the note that sounds at each of ``ticks`` ticks, -1 for none."""
        found = np.full(ticks, -1, np.intp)
        for number, (start, end) in enumerate(zip(self.start, self.end, strict=True)):
            found[start:end] = number
        return found


def pitch_to_code(pitch: Pitch) -> int:
    """Give 64 x MIDI number + place on the line of fifths."""
    return MIDI_PLACE * pitch.midi + pitch.name.fifths


def common_tick(times: list[Fraction], ratios: tuple[Fraction, ...] = (Fraction(1),)) -> Fraction:
    """Give the longest tick that divides all times, also multiplied by each ratio."""
    distinct = {abs(time) for time in times if time}
    values = [time * ratio for time in distinct for ratio in ratios]
    if not values:
        return Fraction(1)
    bottom = lcm(*(value.denominator for value in values))
    return Fraction(gcd(*(int(value * bottom) for value in values)), bottom)


def line_times(line: Line) -> list[Fraction]:
    """Give every onset and duration of a line."""
    return [time for note in line for time in (note.onset, note.duration)]


def line_to_track(line: Line, tick: Fraction) -> Track:
    """Lay a line on ticks of ``tick`` quarters from time 0."""
    notes = [note for note in line.sounding if note.duration]
    pitches = [note.pitch for note in notes if note.pitch is not None]
    return Track.of(
        np.array([_to_ticks(note.onset, tick) for note in notes], np.intp),
        np.array([_to_ticks(note.end, tick) for note in notes], np.intp),
        np.array([pitch_to_code(pitch) for pitch in pitches], np.int16),
        np.array([pitch.staff_step for pitch in pitches], np.intp),
    )


def _to_ticks(time: Fraction, tick: Fraction) -> int:
    return time.numerator * tick.denominator // (time.denominator * tick.numerator)


@lru_cache(maxsize=64)
def tick_weights(meters: MeterMap, tick: Fraction, ticks: int) -> NDArray[np.int8]:
    """Give how strong each tick is in its bar, 4 (downbeat) to 0."""
    if tick * ticks > 4000:
        raise HarmonyError("That is longer than a theme; take a part of it (at most 100 bars).")
    weights = np.array([meters.weight(index * tick) for index in range(ticks)], np.int8)
    weights.flags.writeable = False  # the same array is handed to every caller
    return weights
