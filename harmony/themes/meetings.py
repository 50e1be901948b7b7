"""Where two lines meet, at many delays at once: who moves when, and how.

A meeting begins whenever a voice strikes a note while both sound, and lasts until
either note ends, so what is judged is notes and not ticks. None of it depends on the
follower's pitches; it is laid once and judged for every interval of answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.themes.tracks import Flags, Places, Track

Bits = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Meetings:
    """All meetings of two lines, delay by delay and in order of time.

    Arrays over meetings have shape (N,): ``row`` numbers the delay, ``at`` the tick,
    ``length`` the ticks it lasts, ``leader`` and ``follower`` the two notes. Masks are
    0 or 1: ``proper`` where a dissonance would be a passing or neighbour note, or an
    ornament within a suspension; ``suspending`` where it would be right if what came
    before was consonant; ``resolving`` where a voice leaves by step; ``joined`` where
    the meeting before leads straight into it; ``similar`` where both then move the
    same way. Arrays over delays have shape (D,): ``heads`` is the first meeting of
    each of the ``filled`` delays, the only ones that have any.
    """

    row: Places
    at: NDArray[np.int32]
    length: NDArray[np.float32]
    leader: Places
    follower: Places
    together: Flags
    proper: Bits
    suspending: Bits
    resolving: Bits
    joined: Bits
    similar: Bits
    leaps_l: Flags
    leaps_f: Flags
    stressed: Bits
    heads: Places
    filled: Places
    begins: NDArray[np.int64]
    ends: NDArray[np.int64]
    alone: NDArray[np.float64]
    overlap: NDArray[np.int64]
    struck: NDArray[np.int64]

    @property
    def delays(self) -> int:
        """The number of delays, those without a meeting too."""
        return len(self.overlap)


def lay_meetings(
    leader: Track,
    follower: Track,
    delays: Places,
    weights: NDArray[np.int8],
    *,
    is_strict: bool,
) -> Meetings:
    """Lay a follower over a leader at every delay (in ticks of the leader's time).

    ``weights`` says how strong each tick of the leader's time is. A strict judge
    lets a suspension resolve downward only.
    """
    row, at, one, two = _find_meetings(leader, follower, delays)
    ends = np.minimum(leader.end[one], follower.end[two] + delays[row])
    joined = np.zeros(len(row), bool)
    joined[1:] = (ends[:-1] == at[1:]) & (row[:-1] == row[1:])
    now = weights[at]
    mine = _watch(leader, one, leader.start[one], at, weights, is_strict=is_strict)
    theirs = _watch(
        follower, two, follower.start[two] + delays[row], at, weights, is_strict=is_strict
    )
    together = mine.strikes & theirs.strikes
    only_l, only_f = mine.strikes & ~theirs.strikes, theirs.strikes & ~mine.strikes
    proper = (only_l & (mine.passes | (theirs.resolves & mine.comes_by_step))) | (
        only_f & (theirs.passes | (mine.resolves & theirs.comes_by_step))
    )
    if not is_strict:
        proper |= together & mine.passes & theirs.passes

    count = len(delays)
    struck = np.bincount(row, minlength=count)
    filled = np.flatnonzero(struck)
    heads = np.cumsum(struck)[filled] - struck[filled]
    begins, last = np.zeros(count, np.int64), np.zeros(count, np.int64)
    begins[filled] = at[heads]
    last[filled] = ends[heads + struck[filled] - 1]
    length = (ends - at).astype(np.float32)
    return Meetings(
        row,
        at.astype(np.int32),
        length,
        one,
        two,
        together,
        proper.view(np.uint8),
        ((only_l & theirs.resolves) | (only_f & mine.resolves)).view(np.uint8),
        (mine.leaves_by_step | theirs.leaves_by_step).view(np.uint8),
        joined.view(np.uint8),
        (together & joined & (leader.rise[one] * follower.rise[two] > 0)).view(np.uint8),
        mine.leaps,
        theirs.leaps,
        (now >= 2).view(np.uint8),
        heads,
        filled,
        begins,
        last,
        1.0 - np.bincount(row[together], minlength=count) / np.maximum(struck, 1),
        np.bincount(row, length, minlength=count).astype(np.int64),
        struck.astype(np.int64),
    )


@dataclass(frozen=True, slots=True)
class _Moves:
    """How the notes of one voice move at every meeting: masks of shape (N,).

    ``strikes`` where a note begins with the meeting, else it is held; ``leaps`` and
    ``comes_by_step`` say how it is reached, ``leaves_by_step`` how it is left;
    ``resolves`` where it is left as a suspension may be, ``passes`` where it would be a
    passing or neighbour note.
    """

    strikes: Flags
    leaps: Flags
    comes_by_step: Flags
    leaves_by_step: Flags
    resolves: Flags
    passes: Flags


def _watch(
    track: Track,
    notes: Places,
    starts: Places,
    at: Places,
    weights: NDArray[np.int8],
    *,
    is_strict: bool,
) -> _Moves:
    """Say how a voice moves at meetings: with which notes, begun when, at which ticks."""
    now = weights[at]
    is_weak = (now <= 1) | (now < weights[np.clip(at - track.before[notes], 0, None)])
    comes, goes = np.abs(track.approach[notes]), track.leave[notes]
    by_step = np.abs(goes) == 1
    return _Moves(
        starts == at,
        comes > 1,
        comes == 1,
        by_step,
        goes == -1 if is_strict else by_step,
        (comes == 1) & by_step & is_weak,
    )


def _find_meetings(
    leader: Track, follower: Track, delays: Places
) -> tuple[Places, Places, Places, Places]:
    """Give (delay's number, tick, leader's note, follower's note) of every meeting in order."""
    ticks = int(leader.end[-1])
    notes_l, notes_f = leader.notes_at(ticks), follower.notes_at(int(follower.end[-1]))

    # the leader strikes while the follower sounds
    inside = leader.start[None, :] - delays[:, None]
    there = (inside >= 0) & (inside < len(notes_f))
    held = np.where(there, notes_f[np.clip(inside, 0, len(notes_f) - 1)], -1)
    row_l, one_l = np.nonzero(held >= 0)
    two_l = held[row_l, one_l]

    # the follower strikes while the leader holds a note struck before
    moment = follower.start[None, :] + delays[:, None]
    held = np.where(moment < ticks, notes_l[np.clip(moment, 0, ticks - 1)], -1)
    held[(held >= 0) & (leader.start[held] == moment)] = -1
    row_f, two_f = np.nonzero(held >= 0)
    one_f = held[row_f, two_f]

    row = np.concatenate([row_l, row_f])
    at = np.concatenate([leader.start[one_l], moment[row_f, two_f]])
    order = np.argsort(row * ticks + at)
    one, two = np.concatenate([one_l, one_f]), np.concatenate([two_l, two_f])
    return row[order], at[order], one[order], two[order]
