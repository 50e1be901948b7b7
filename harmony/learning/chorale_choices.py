"""The choices behind the chorales: at every change of chord, all voicings open to it.

Open to a change of chord are all four-note voicings that have exactly its pitch
classes, its bass lowest, each voice within the range it has in the chorales
read; the voicing just heard is not among them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations_with_replacement, pairwise

import numpy as np
from numpy.typing import NDArray

from harmony.learning.chorale_slices import BREAK, ChoraleSlices

Ranges = tuple[tuple[int, int], ...]
PitchClasses = frozenset[int]
FIFTH = 7
# Triads and sevenths whose perfect fifth may be left out, by semitones above the root.
FIFTH_IS_FREE = ({0, 4, 7}, {0, 3, 7}, {0, 4, 7, 10}, {0, 3, 7, 10}, {0, 4, 7, 11}, {0, 3, 7, 11})


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
    return _gather(_changes(slices), ranges, lambda pitch_classes, _: (pitch_classes,))[0]


def list_middles(slices: ChoraleSlices, ranges: Ranges) -> tuple[Choices, NDArray[np.int32]]:
    """List what was open at every chord between two others, and the voicing that follows it.

    Neither neighbour's own voicing is among the choices. Returns them with what
    follows each, (4, m).
    """
    changes = list(_changes(slices))
    middles = [
        replace(here, following=there.new)
        for here, there in pairwise(changes)
        if there.place == here.place + 1
    ]
    return _gather(middles, ranges, lambda pitch_classes, _: (pitch_classes,))


def list_with_fifths(slices: ChoraleSlices, ranges: Ranges) -> Choices:
    """List what was open where the fifth may be left out: the chord with and without it."""
    return _gather(_changes(slices), ranges, _with_and_without_fifth)[0]


def _with_and_without_fifth(pitch_classes: PitchClasses, bass: int) -> tuple[PitchClasses, ...]:
    for root in sorted(pitch_classes):
        above = {(p - root) % 12 for p in pitch_classes} | {FIFTH}
        fifth = (root + FIFTH) % 12
        if above in FIFTH_IS_FREE and bass != fifth:
            return pitch_classes - {fifth}, pitch_classes | {fifth}
    return ()


@dataclass(frozen=True, slots=True)
class _Change:
    place: int
    old: NDArray[np.int32]
    new: NDArray[np.int32]
    tonic: int
    following: NDArray[np.int32] | None = None


def _changes(slices: ChoraleSlices) -> Iterator[_Change]:
    pitches = slices.pitches.astype(np.int32)
    for place in range(1, len(pitches)):
        song = slices.song[place]
        if song == slices.song[place - 1] and not slices.flags[place] & BREAK:
            tonic = FIFTH * int(slices.key_sharps[song]) % 12
            yield _Change(place, pitches[place - 1], pitches[place], tonic)


def _gather(
    changes: Iterable[_Change],
    ranges: Ranges,
    widen: Callable[[PitchClasses, int], tuple[PitchClasses, ...]],
) -> tuple[Choices, NDArray[np.int32]]:
    before, after, following, tonic = [], [], [], []
    starts, chosen = [0], []
    for change in changes:
        bass = int(change.new[0]) % 12
        chords = widen(frozenset((change.new % 12).tolist()), bass)
        if not chords:
            continue
        listed = np.concatenate([list_voicings(chord, bass, ranges) for chord in chords])
        onward = change.old if change.following is None else change.following
        listed = listed[(listed != change.old).any(axis=1) & (listed != onward).any(axis=1)]
        written = np.flatnonzero((listed == change.new).all(axis=1))
        if not len(written) or len(listed) < 2:
            continue
        before.append(np.repeat(change.old[None], len(listed), axis=0))
        after.append(listed)
        following.append(np.repeat(onward[None], len(listed), axis=0))
        tonic.append(np.full(len(listed), change.tonic, np.int32))
        chosen.append(starts[-1] + int(written[0]))
        starts.append(starts[-1] + len(listed))
    choices = Choices(
        _stack(before),
        _stack(after),
        np.concatenate(tonic),
        np.array(starts, np.intp),
        np.array(chosen, np.intp),
    )
    return choices, _stack(following)


def _stack(rows: list[NDArray[np.int32]]) -> NDArray[np.int32]:
    return np.ascontiguousarray(np.concatenate(rows).T)


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
