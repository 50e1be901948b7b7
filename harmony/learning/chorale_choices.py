"""The choices behind the chorales: at every change of chord, all voicings open to it.

Open to a change of chord are all four-note voicings that have exactly its pitch
classes, its bass lowest, each voice within the range it has in the chorales
read; the voicing just heard is not among them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

from harmony.learning.chorale_slices import BREAK, ChoraleSlices

Ranges = tuple[tuple[int, int], ...]
FIFTH = 7


@dataclass(frozen=True, slots=True)
class Choices:
    """Every open voicing of every change, one after another, m in all.

    ``before`` and ``after`` (4, m) MIDI numbers, lowest voice first; ``tonic`` (m,)
    pitch class of the signature's major key; change c has the stretch
    ``starts[c]`` to ``starts[c + 1]``, and of it Bach wrote ``chosen[c]``.
    """

    before: NDArray[np.int32]
    after: NDArray[np.int32]
    tonic: NDArray[np.int32]
    starts: NDArray[np.intp]
    chosen: NDArray[np.intp]

    def __len__(self) -> int:
        return len(self.chosen)


def find_ranges(slices: ChoraleSlices) -> Ranges:
    """Give the lowest and highest pitch of each voice, lowest voice first."""
    lows, highs = slices.pitches.min(axis=0), slices.pitches.max(axis=0)
    return tuple(zip(lows.tolist(), highs.tolist(), strict=True))


def list_choices(slices: ChoraleSlices, ranges: Ranges) -> Choices:
    """List what was open at every change of chord; a voicing out of range is passed over."""
    before, after, tonic = [], [], []
    starts, chosen = [0], []
    for old, new, sharps in _changes(slices):
        listed = list_voicings(frozenset((new % 12).tolist()), int(new[0]) % 12, ranges)
        listed = listed[(listed != old).any(axis=1)]
        written = np.flatnonzero((listed == new).all(axis=1))
        if not len(written) or len(listed) < 2:
            continue
        before.append(np.repeat(old[None], len(listed), axis=0))
        after.append(listed)
        tonic.append(np.full(len(listed), FIFTH * sharps % 12, np.int32))
        chosen.append(starts[-1] + int(written[0]))
        starts.append(starts[-1] + len(listed))
    return Choices(
        np.ascontiguousarray(np.concatenate(before).T),
        np.ascontiguousarray(np.concatenate(after).T),
        np.concatenate(tonic),
        np.array(starts, np.intp),
        np.array(chosen, np.intp),
    )


def _changes(
    slices: ChoraleSlices,
) -> Iterator[tuple[NDArray[np.int32], NDArray[np.int32], int]]:
    pitches = slices.pitches.astype(np.int32)
    for place in range(1, len(pitches)):
        song = slices.song[place]
        if song == slices.song[place - 1] and not slices.flags[place] & BREAK:
            yield pitches[place - 1], pitches[place], int(slices.key_sharps[song])


@cache
def list_voicings(pitch_classes: frozenset[int], bass: int, ranges: Ranges) -> NDArray[np.int32]:
    """List the four-note voicings of a chord, in rising order, shape (n, 4)."""
    lowest, highest = ranges[0][0], max(high for _, high in ranges)
    pool = [p for p in range(lowest, highest + 1) if p % 12 in pitch_classes]
    rows = [
        (low, *upper)
        for low in pool
        if low % 12 == bass and low <= ranges[0][1]
        for upper in combinations_with_replacement([p for p in pool if p >= low], 3)
        if len({low % 12, *(p % 12 for p in upper)}) == len(pitch_classes)
    ]
    listed = np.array(rows, np.int32).reshape(-1, 4)
    lows, highs = np.array(ranges).T
    kept: NDArray[np.int32] = listed[((listed >= lows) & (listed <= highs)).all(axis=1)]
    return kept
