"""Judging two lines against each other, at every place where they meet, for many delays.

Three judges. *Strict*: two-part consonance (a fourth is a dissonance), dissonance
only as passing note, neighbour note or prepared suspension, no consecutive or
direct perfect intervals. *Tonal*: fourths allowed over a free bass, sevenths and
tritones when prepared or resolved by step, direct perfects not counted. *Free*:
every dissonance is weighed by stress and length, nothing is forbidden outright.

The rules are those of two-part writing in the species tradition (Fux 1725;
Jeppesen 1931), in the project's own words.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from harmony.themes.meetings import Bits, Meetings
from harmony.themes.tracks import MIDI_PLACE, Ints, Places

Judge = Literal["strict", "tonal", "free"]
JUDGES: tuple[Judge, ...] = ("strict", "tonal", "free")

DISSONANT, FOURTH, FIFTH, OCTAVE, UNISON, MILD, ABOVE = 1, 2, 4, 8, 16, 32, 64
_ZERO = MIDI_PLACE * 128  # where a code difference of 0 stands in the table

#: kinds of fault, in the order of their bits in Judged.faults
KINDS = ("dissonance", "consecutive fifths", "consecutive octaves", "direct fifth or octave")
_WEIGHTS = {
    "strict": (1.5, 2.0, 2.0, 1.0),
    "tonal": (1.2, 1.6, 2.0, 0.0),
    "free": (0.6, 0.5, 0.8, 0.0),
}
#: fifths difference (upper minus lower) of the consonances
_PERFECT_FIFTH, _FOURTH = 1, -1
_IMPERFECT = {4: (4,), -3: (3,), 3: (9,), -4: (8,)}  # M3 m3 M6 m6
_MILD = {6: (6,), -6: (6,), -2: (10,), 2: (2,)}  # A4 d5 m7 M2


@cache
def interval_flags(judge: Judge) -> Bits:
    """Give, by code difference + 8192, the flags of an interval."""
    flags = np.zeros(2 * _ZERO, np.uint8)
    for semitones in range(-100, 101):
        for fifths in range(-31, 32):
            upper = fifths if semitones >= 0 else -fifths
            simple = abs(semitones) % 12
            bits = DISSONANT
            if upper == 0 and simple == 0:
                bits = UNISON | OCTAVE if semitones == 0 else OCTAVE
            elif upper == _PERFECT_FIFTH and simple == 7:
                bits = FIFTH
            elif upper == _FOURTH and simple == 5:
                bits = FOURTH | DISSONANT if judge == "strict" else FOURTH
            elif simple in _IMPERFECT.get(upper, ()):
                bits = 0
            elif simple in _MILD.get(upper, ()):
                bits = DISSONANT | MILD
            flags[MIDI_PLACE * semitones + fifths + _ZERO] = bits | (ABOVE if semitones > 0 else 0)
    return flags


@cache
def sound_quality() -> NDArray[np.float32]:
    """Give, by flags, how good a sound is from 0 to 10.

    Thirds and sixths 10, fifths 8, octaves 5, unisons 3, fourths 6 where allowed,
    dissonance 4.
    """
    quality = np.full(128, 10, np.float32)
    for flags in range(128):
        for bit, good in ((FOURTH, 6), (FIFTH, 8), (OCTAVE, 5), (UNISON, 3), (DISSONANT, 4)):
            if flags & bit:
                quality[flags] = good
    return quality


@cache
def _fault_prices(judge: Judge) -> NDArray[np.float64]:
    """Give the weight of every set of faults, by their bits and 16 where it is stressed."""
    prices = _WEIGHTS[judge]
    table = np.zeros(32)
    for bits in range(32):
        parts = [prices[kind] for kind in range(4) if bits >> kind & 1]
        table[bits] = sum(parts)
        if bits & 1:  # an unstressed dissonance weighs half
            table[bits] -= 0 if bits & 16 else prices[0] / 2
    return table


@dataclass(frozen=True, slots=True)
class Judged:
    """What a judge found, for A answers at D delays.

    ``faults`` (A, N) holds a bit for each of KINDS at every meeting; all else has
    shape (A, D): ``goodness`` is the mean quality, 0 to 1, of the time in which both
    sound; ``weight`` the weighted sum of faults and ``count`` the places that have
    one; ``holds`` the ticks from the entry to the first fault; ``echoes`` the share
    of time in which both have struck the same note together.
    """

    faults: Bits
    goodness: NDArray[np.float64]
    weight: NDArray[np.float64]
    count: NDArray[np.int64]
    holds: NDArray[np.int64]
    echoes: NDArray[np.float64]


def judge_answers(leader: Ints, answers: Ints, meetings: Meetings, judge: Judge) -> Judged:
    """Judge answers against a leader wherever they meet.

    ``leader`` (notes,) and ``answers`` (A, notes) are codes of :class:`Track`.
    """
    shape = (len(answers), meetings.delays)
    found = Judged(
        np.zeros((len(answers), len(meetings.row)), np.uint8),
        np.zeros(shape),
        np.zeros(shape),
        np.zeros(shape, np.int64),
        np.zeros(shape, np.int64),
        np.zeros(shape),
    )
    if not len(meetings.row):
        return found
    below = leader.astype(np.intp).take(meetings.leader) - _ZERO
    for number, answer in enumerate(answers.astype(np.intp)):  # one at a time stays in the cache
        _judge_one(found, number, answer.take(meetings.follower) - below, meetings, judge)
    return found


def _judge_one(found: Judged, number: int, index: Places, meetings: Meetings, judge: Judge) -> None:
    flags = interval_flags(judge).take(index)
    before = np.zeros_like(flags)
    before[1:] = flags[:-1]
    before *= meetings.joined
    was_clear = (before & DISSONANT) ^ DISSONANT  # a note that was alone, or consonant, is prepared
    mild = 0 if judge == "strict" else flags >> 5 & meetings.resolving
    excused = meetings.suspending | mild
    faults = found.faults[number]
    faults |= flags & DISSONANT & ~(excused & was_clear | meetings.proper)
    parallel = flags & before
    if judge != "strict":
        parallel &= ~(parallel >> 1 & OCTAVE)  # voices that meet in one line have merged
    faults |= (parallel & (FIFTH | OCTAVE)) >> 1 & meetings.similar * 6
    if judge == "strict":
        leap = np.where((flags & ABOVE) != 0, meetings.leaps_f, meetings.leaps_l)
        direct = leap & ((flags & (FIFTH | OCTAVE)) != 0) & (meetings.similar != 0) & (faults < 2)
        faults |= direct.view(np.uint8) << 3

    delays = meetings.delays
    wrong = np.flatnonzero(faults != 0)
    rows = meetings.row.take(wrong)
    prices = _fault_prices(judge).take(faults.take(wrong) | meetings.stressed.take(wrong) << 4)
    found.weight[number] = np.bincount(rows, prices, minlength=delays)
    found.count[number] = np.bincount(rows, minlength=delays)
    until = meetings.ends.copy()
    until[rows[::-1]] = meetings.at.take(wrong[::-1])  # the first of each row is written last
    found.holds[number] = until - meetings.begins

    sound = sound_quality().take(flags) * meetings.length
    unisons = np.flatnonzero((flags & UNISON) != 0)
    if len(unisons):
        # a unison counts as an echo while it lasts, if both voices struck it or kept it
        struck = meetings.together[unisons] | ((before[unisons] & UNISON) != 0)
        echo = np.where(struck, meetings.length[unisons], meetings.length[unisons] - 1)
        sound[unisons] -= echo * sound_quality()[UNISON | OCTAVE]
        shared = np.bincount(meetings.row[unisons], echo, minlength=delays)
        found.echoes[number] = shared / np.maximum(meetings.overlap, 1)
    heads, filled = meetings.heads, meetings.filled
    room = 10.0 * meetings.overlap[filled]
    found.goodness[number, filled] = np.add.reduceat(sound, heads) / room
