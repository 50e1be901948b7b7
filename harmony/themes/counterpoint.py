"""Judging two lines against each other, on ticks, for many delays at once.

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
from typing import Literal, TypeVar

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from harmony.themes.tracks import MIDI_PLACE, NO_NEIGHBOUR, Flags, Ints, Track

Number = TypeVar("Number", bound=np.generic)
Judge = Literal["strict", "tonal", "free"]
JUDGES: tuple[Judge, ...] = ("strict", "tonal", "free")

DISSONANT, FOURTH, FIFTH, OCTAVE, UNISON, MILD, ABOVE = 1, 2, 4, 8, 16, 32, 64
_ZERO = MIDI_PLACE * 128  # where a code difference of 0 stands in the tables
#: codes of silence: any difference with them falls where the tables hold nothing
LEADER_SILENT, FOLLOWER_SILENT = -8000, 16000
_TABLE_SIZE = FOLLOWER_SILENT - LEADER_SILENT + _ZERO + 1

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
def interval_tables(judge: Judge) -> tuple[NDArray[np.uint8], NDArray[np.float32]]:
    """Give, by code difference + 8192, interval flags and how good the sound is.

    The second table rates a tick of sound from 0 to 10: thirds and sixths 10,
    fifths 8, octaves 5, unisons 3, fourths 6 where allowed, dissonance 4.
    """
    flags = np.zeros(_TABLE_SIZE, np.uint8)
    quality = np.zeros(_TABLE_SIZE, np.float32)
    for semitones in range(-100, 101):
        for fifths in range(-31, 32):
            upper = fifths if semitones >= 0 else -fifths
            simple = abs(semitones) % 12
            index = MIDI_PLACE * semitones + fifths + _ZERO
            bits, good = DISSONANT, 4
            if upper == 0 and simple == 0:
                bits, good = (UNISON | OCTAVE, 3) if semitones == 0 else (OCTAVE, 5)
            elif upper == _PERFECT_FIFTH and simple == 7:
                bits, good = FIFTH, 8
            elif upper == _FOURTH and simple == 5:
                bits, good = (FOURTH | DISSONANT, 4) if judge == "strict" else (FOURTH, 6)
            elif simple in _IMPERFECT.get(upper, ()):
                bits, good = 0, 10
            elif simple in _MILD.get(upper, ()):
                bits = DISSONANT | MILD
            flags[index] = bits | (ABOVE if semitones > 0 else 0)
            quality[index] = good
    return flags, quality


@dataclass(frozen=True, slots=True)
class Motions:
    """What is settled before any pitch is: who moves when, and how, at each delay.

    All arrays are (D, T) booleans. ``proper`` marks events at which a dissonance
    would be a passing or neighbour note, or an ornament within a suspension;
    ``suspending`` those at which it would be right if what came before was
    consonant; ``resolving`` those at which one of the voices leaves by step;
    ``similar`` those at which both move the same way.
    """

    starts: NDArray[np.intp]
    ticks: int
    pad: int
    both: Flags
    together: Flags
    event: Flags
    proper: Flags
    suspending: Flags
    resolving: Flags
    similar: Flags
    leaps_l: Flags
    leaps_f: Flags
    alone: NDArray[np.float64]
    overlap: NDArray[np.int64]
    struck: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Judged:
    """What a judge found, one row a delay.

    ``faults`` (D, T) holds a bit for each of KINDS; ``goodness`` is the mean quality,
    0 to 1, of the ticks in which both sound; ``weight`` the weighted sum of faults;
    ``holds`` the ticks from the entry to the first fault; ``echoes`` the share of
    ticks in which both have struck the same note together.
    """

    faults: NDArray[np.uint8]
    goodness: NDArray[np.float64]
    weight: NDArray[np.float64]
    holds: NDArray[np.int64]
    echoes: NDArray[np.float64]


def lay_rows(
    values: NDArray[Number], starts: NDArray[np.intp], ticks: int, pad: int, fill: int
) -> NDArray[Number]:
    """Give a follower's array shifted by every delay, shape (D, T), ``fill`` around it."""
    padded = np.full(pad + max(len(values), ticks) + ticks, fill, values.dtype)
    padded[pad : pad + len(values)] = values
    return np.asarray(sliding_window_view(padded, ticks)[starts])


def _is_step(values: Ints) -> Flags:
    return np.asarray(np.abs(values) == 1)


def _later(values: Flags) -> Flags:
    """Give each row one tick later, nothing before the first."""
    moved = np.zeros_like(values)
    moved[:, 1:] = values[:, :-1]
    return moved


def lay_motions(
    leader: Track,
    follower: Track,
    delays: NDArray[np.intp],
    weights: NDArray[np.int8],
    judge: Judge,
) -> Motions:
    """Lay a follower over a leader at every delay (in ticks), before any pitch is judged."""
    ticks = leader.ticks
    pad = int(delays.max(initial=0))
    starts = pad - delays

    def lay(values: NDArray[Number], fill: int) -> NDArray[Number]:
        return lay_rows(values, starts, ticks, pad, fill)

    on_f = lay(follower.onset, 0).astype(bool)
    both = lay(follower.sounding, 0).astype(bool) & leader.sounding
    approach_f, leave_f = lay(follower.approach, NO_NEIGHBOUR), lay(follower.leave, NO_NEIGHBOUR)
    on_l = leader.onset & both
    on_f &= both
    together = on_f & on_l
    only_l, only_f = on_l & ~on_f, on_f & ~on_l

    earlier_l = weights[np.clip(np.arange(ticks) - leader.before, 0, None)]
    weak_l = (weights <= 1) | (weights < earlier_l)
    columns = np.arange(ticks) - lay(follower.before, 0).astype(np.intp)
    weak_f = (weights <= 1) | (weights < weights[np.clip(columns, 0, ticks - 1)])
    by_step_l, by_step_f = _is_step(leader.approach), _is_step(approach_f)
    leaves_l, leaves_f = _is_step(leader.leave), _is_step(leave_f)
    passing_l, passing_f = by_step_l & leaves_l & weak_l, by_step_f & leaves_f & weak_f
    falls_l, falls_f = leaves_l, leaves_f
    if judge == "strict":
        falls_l, falls_f = leader.leave == -1, leave_f == -1
    proper = (only_l & (passing_l | (falls_f & by_step_l))) | (
        only_f & (passing_f | (falls_l & by_step_f))
    )
    if judge != "strict":
        proper |= together & passing_l & passing_f
    rise_f = lay(follower.rise, 0)
    struck = np.count_nonzero(on_l | on_f, axis=1)
    return Motions(
        starts,
        ticks,
        pad,
        both,
        together,
        on_l | on_f,
        proper,
        (only_l & falls_f) | (only_f & falls_l),
        both & (leaves_l | leaves_f),
        together & ((rise_f * leader.rise) > 0) & _later(both),
        np.abs(leader.approach) > 1,
        np.abs(approach_f) > 1,
        1.0 - np.count_nonzero(together, axis=1) / np.maximum(struck, 1),
        np.count_nonzero(both, axis=1),
        struck,
    )


def judge_rows(
    leader_code: Ints,
    follower_code: Ints,
    motions: Motions,
    weights: NDArray[np.int8],
    judge: Judge,
) -> Judged:
    """Judge a follower's pitches against a leader's, at every delay of ``motions``.

    Codes where a voice is silent are LEADER_SILENT and FOLLOWER_SILENT.
    """
    flag_table, quality_table = interval_tables(judge)
    code = lay_rows(follower_code, motions.starts, motions.ticks, motions.pad, FOLLOWER_SILENT)
    index = code - (leader_code - np.int16(_ZERO))
    flags = flag_table[index]
    before = np.zeros_like(flags)
    before[:, 1:] = flags[:, :-1]
    was_clear = (before & DISSONANT) == 0  # a note that was alone, or consonant, is prepared
    excused = motions.suspending & was_clear
    excused |= motions.proper
    if judge != "strict":
        excused |= ((flags & MILD) != 0) & was_clear & motions.resolving
    wrong = ((flags & DISSONANT) != 0) & motions.event & ~excused

    held = flags & before
    fifths = motions.similar & ((held & FIFTH) != 0)
    octaves = motions.similar & ((held & OCTAVE) != 0)
    faults = wrong.view(np.uint8) | fifths.view(np.uint8) << 1 | octaves.view(np.uint8) << 2
    price = _WEIGHTS[judge]
    stressed = np.count_nonzero(wrong & (weights >= 2), axis=1)
    weight = price[0] * 0.5 * (np.count_nonzero(wrong, axis=1) + stressed)
    weight += price[1] * np.count_nonzero(fifths, axis=1)
    weight += price[2] * np.count_nonzero(octaves, axis=1)
    if judge == "strict":
        leap = np.where((flags & ABOVE) != 0, motions.leaps_f, motions.leaps_l)
        direct = motions.similar & ((flags & (FIFTH | OCTAVE)) != 0) & leap & ~fifths & ~octaves
        faults |= direct.view(np.uint8) << 3
        weight += price[3] * np.count_nonzero(direct, axis=1)

    # a unison counts as an echo while it lasts, if both voices struck it or kept it
    echo = ((flags & UNISON) != 0) & (motions.together | ((before & UNISON) != 0))
    quality = quality_table[index]
    quality *= ~echo
    room = np.maximum(motions.overlap, 1)
    goodness = (quality @ np.ones(motions.ticks, np.float32)) / (10.0 * room)
    echoes = np.count_nonzero(echo, axis=1) / room
    return Judged(faults, goodness, weight, _holding(faults, motions.both), echoes)


def _holding(faults: NDArray[np.uint8], both: Flags) -> NDArray[np.int64]:
    """Count the ticks from the first together to the first fault, or to the last together."""
    ticks = faults.shape[1]
    has = faults.astype(bool)
    first = np.where(has.any(axis=1), has.argmax(axis=1), ticks)
    begins = np.where(both.any(axis=1), both.argmax(axis=1), ticks)
    last = ticks - both[:, ::-1].argmax(axis=1)
    return np.asarray(np.maximum(np.minimum(first, last) - begins, 0), np.int64)
