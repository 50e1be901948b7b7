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
    strikes_l = leader.start[one] == at
    strikes_f = follower.start[two] + delays[row] == at
    joined = np.zeros(len(row), bool)
    joined[1:] = (ends[:-1] == at[1:]) & (row[:-1] == row[1:])

    together = strikes_l & strikes_f
    only_l, only_f = strikes_l & ~strikes_f, strikes_f & ~strikes_l
    now = weights[at]
    weak_l = (now <= 1) | (now < weights[np.clip(at - leader.before[one], 0, None)])
    weak_f = (now <= 1) | (now < weights[np.clip(at - follower.before[two], 0, None)])
    comes_l, comes_f = leader.approach[one], follower.approach[two]
    goes_l, goes_f = leader.leave[one], follower.leave[two]
    by_step_l, by_step_f = np.abs(comes_l) == 1, np.abs(comes_f) == 1
    leaves_l, leaves_f = np.abs(goes_l) == 1, np.abs(goes_f) == 1
    passing_l, passing_f = by_step_l & leaves_l & weak_l, by_step_f & leaves_f & weak_f
    falls_l, falls_f = (goes_l == -1, goes_f == -1) if is_strict else (leaves_l, leaves_f)
    proper = (only_l & (passing_l | (falls_f & by_step_l))) | (
        only_f & (passing_f | (falls_l & by_step_f))
    )
    if not is_strict:
        proper |= together & passing_l & passing_f

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
        ((only_l & falls_f) | (only_f & falls_l)).view(np.uint8),
        (leaves_l | leaves_f).view(np.uint8),
        joined.view(np.uint8),
        (together & joined & (leader.rise[one] * follower.rise[two] > 0)).view(np.uint8),
        np.abs(comes_l) > 1,
        np.abs(comes_f) > 1,
        (now >= 2).view(np.uint8),
        heads,
        filled,
        begins,
        last,
        1.0 - np.bincount(row[together], minlength=count) / np.maximum(struck, 1),
        np.bincount(row, length, minlength=count).astype(np.int64),
        struck.astype(np.int64),
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
