"""The steps between two chords told by halves: the lower voices and the upper.

A cost that adds up voice by voice, or neighbour by neighbour, says so itself
(`Term.voice_share`, `Term.pair_share`); the four that look across the halves are put into
words of bits here.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from harmony.search import Halves, SplitPairs, Word
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import Amounts, Cost, Term
from harmony.voicings.costs.common_tones import CommonTones
from harmony.voicings.costs.crossing import Overlap
from harmony.voicings.costs.leaps import Leaps
from harmony.voicings.costs.members import Doubling, doubling_points, third_of
from harmony.voicings.costs.motion import Motion
from harmony.voicings.costs.perfects import (
    PERFECT_CLASSES,
    STEP,
    ConsecutivePerfects,
    DirectPerfects,
)
from harmony.voicings.costs.resolution import Resolution
from harmony.voicings.costs.voices import Stillness, TopLine
from harmony.voicings.steps import Steps

WORD = 64
"""Bits to a word."""
PAIRS = 16
"""Pairs of voices to a word: two bits each, so that it is read as a short one."""
ALL = np.uint64(2**64 - 1)
Bits = NDArray[np.uint64]
SHARED = frozenset(
    {
        Motion, Leaps, CommonTones, ConsecutivePerfects, DirectPerfects, Overlap, Doubling,
        Resolution, TopLine, Stillness,
    }
)  # fmt: skip


def split_pairs(before: Voicings, after: Voicings, costs: Sequence[Cost]) -> SplitPairs | None:
    """Tell the steps by halves; None where a cost, or the number of voices, does not allow it."""
    if not all(_can_split(cost) for cost in costs):
        return None
    voices = before.pitches.shape[1]
    real = after.frame.real_voices
    half = _middle(real, voices)
    crossing = [(low, high) for low, high in combinations(real, 2) if low < half <= high]
    if not len(before) or not len(after):
        return None
    if max(len(np.unique(column)) for column in before.pitches.T) > WORD:
        return None
    lows, highs = (_Half(before, after, part) for part in (slice(half), slice(half, None)))
    scene = _Scene(before, after, lows, highs, half)
    words = []
    for term, cost in enumerate(costs):
        if isinstance(cost, ConsecutivePerfects):
            words += [
                scene.tell_consecutives(term, crossing[start : start + PAIRS])
                for start in range(0, len(crossing), PAIRS)
            ]
        elif isinstance(cost, Overlap):
            words += scene.tell_overlaps(term)
        elif isinstance(cost, DirectPerfects):
            words += scene.tell_direct(term)
        elif isinstance(cost, Doubling):
            words += scene.tell_doubling(term)
    # The word with most bits first: the search reads it for every step it looks at.
    words.sort(key=lambda word: -word.most)
    return SplitPairs(
        tuple(cost.name for cost in costs),
        Halves(lows.old, highs.old),
        Halves(lows.new, highs.new),
        lows.add_up(costs, range(half)),
        highs.add_up(costs, range(half, voices)),
        tuple(words),
    )


def _can_split(cost: Cost) -> bool:
    """Only what is known to be the sum of its shares, or is put into words below.

    A cost derived from one of these may charge otherwise, so the type itself is asked.
    """
    return type(cost) in SHARED or getattr(type(cost), "pair", None) is Term.pair


def _middle(real: tuple[int, ...], voices: int) -> int:
    """The lowest voice of the upper half."""
    return real[len(real) // 2] if len(real) > 1 else max(voices // 2, 1)


class _Half:
    """The different halves on one side, before and after, and the steps between them.

    `steps` are steps between whole voicings, one for each different half, of which
    only the voices of this half may be asked.
    """

    def __init__(self, before: Voicings, after: Voicings, part: slice) -> None:
        first, self.old = _tell_apart(before.pitches[:, part])
        then, self.new = _tell_apart(after.pitches[:, part])
        self.steps = Steps(before.chosen(first), after.chosen(then))

    def add_up(self, costs: Sequence[Cost], voices: range) -> Amounts:
        """What the voices of this half add to every cost, shape (costs, halves, halves)."""
        total = np.zeros((len(costs), *self.steps.shape), dtype=np.int32)
        pairs = [p for p in combinations(self.steps.real_voices, 2) if set(p) <= set(voices)]
        for own, cost in zip(total, costs, strict=True):
            assert isinstance(cost, Term)
            shares = [cost.voice_share(self.steps, voice) for voice in voices]
            shares += [cost.pair_share(self.steps, low, high) for low, high in pairs]
            for share in shares:
                if share is not None:
                    own += share
        return total


def _tell_apart(pitches: NDArray[np.int16]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The first row of each different kind, and the number of the kind of every row."""
    # Seven bits hold a pitch; more than nine voices are renumbered before they overflow.
    code = np.zeros(len(pitches), dtype=np.int64)
    for place, column in enumerate(pitches.T.astype(np.int64)):
        if place and place % 8 == 0:
            code = np.unique(code, return_inverse=True)[1]
        code = code << 7 | column
    _, first, number = np.unique(code, return_index=True, return_inverse=True)
    return first, number


class _Scene:
    """What passes between the halves, in words."""

    def __init__(
        self, before: Voicings, after: Voicings, lows: _Half, highs: _Half, half: int
    ) -> None:
        self.before, self.after = before, after
        self.lows, self.highs = lows, highs
        self.half = half

    def tell_consecutives(self, term: int, crossing: list[tuple[int, int]]) -> Word:
        """Two bits for each pair across: both move, from octave to octave, fifth to fifth."""
        before, after = (np.zeros(len(side), dtype=np.uint64) for side in (self.before, self.after))
        lower = np.zeros(self.lows.steps.shape, dtype=np.uint64)
        upper = np.zeros(self.highs.steps.shape, dtype=np.uint64)
        for number, (low, high) in enumerate(crossing):
            for word, side in ((before, self.before), (after, self.after)):
                classes = np.abs(side.pitches[:, high] - side.pitches[:, low]) % 12
                for kind, size in enumerate(PERFECT_CLASSES):
                    word |= _bit(classes == size, 2 * number + kind)
            both = np.uint64(3 << 2 * number)
            lower |= self.lows.steps.has_moved[low] * both
            upper |= self.highs.steps.has_moved[high] * both
        return Word(term, 1, len(crossing), before, after, lower, upper)

    def tell_overlaps(self, term: int) -> list[Word]:
        """The two neighbours at the border: the lower rises past where the upper was, or ...

        One bit for each height of the voice that stays behind.
        """
        real = self.after.frame.real_voices
        low = max((voice for voice in real if voice < self.half), default=None)
        high = min((voice for voice in real if voice >= self.half), default=None)
        if low is None or high is None:
            return []
        lower, upper = self._everywhere()
        rises = _compare(self.before.pitches[:, high], self.after.pitches[:, low], sign=1)
        falls = _compare(self.before.pitches[:, low], self.after.pitches[:, high], sign=-1)
        return [Word(term, 1, 1, *bits, lower, upper) for bits in (rises, falls)]

    def tell_direct(self, term: int) -> list[Word]:
        """The outer voices: four bits, octave or fifth reached, upward or downward."""
        real = self.after.frame.real_voices
        if len(real) < 2:
            return []
        low, high = real[0], real[-1]
        old, new = (
            (side.pitches[:, high] - side.pitches[:, low]) % 12
            for side in (self.before, self.after)
        )
        before, after = (np.zeros(len(side), dtype=np.uint64) for side in (self.before, self.after))
        for kind, size in enumerate(PERFECT_CLASSES):
            for way in range(2):
                before |= _bit(old != size, 2 * kind + way)
                after |= _bit(new == size, 2 * kind + way)
        bottom, top = self.lows.steps.moves[low], self.highs.steps.moves[high]
        lower, upper = np.zeros(bottom.shape, np.uint64), np.zeros(top.shape, np.uint64)
        for kind in range(2):
            lower |= _bit(bottom > 0, 2 * kind) | _bit(bottom < 0, 2 * kind + 1)
            upper |= _bit(top > STEP, 2 * kind) | _bit(top < -STEP, 2 * kind + 1)
        return [Word(term, 1, 1, before, after, lower, upper)]

    def tell_doubling(self, term: int) -> list[Word]:
        """A doubled third reached by step in contrary motion is given back, wherever it lies."""
        sonority = self.after.sonority
        third = third_of(sonority)
        points = 0 if third is None else doubling_points(sonority)[third]
        if not points:
            return []
        assert third is not None
        twice = self.after.counts[:, third] == 2
        after = twice * np.uint64(0b1111)
        up, down = self._reach(self.lows, range(self.half), third)
        lower = _bit(up & down, 0) | np.uint64(0b10) | _bit(up, 2) | _bit(down, 3)
        up, down = self._reach(self.highs, range(self.half, self.after.pitches.shape[1]), third)
        upper = np.uint64(0b1) | _bit(up & down, 1) | _bit(down, 2) | _bit(up, 3)
        before = np.full(len(self.before), ALL)
        return [Word(term, -points, 1, before, after, lower, upper)]

    @staticmethod
    def _reach(
        half: _Half, voices: range, third: int
    ) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Where a voice of a half steps up to the third, and where one steps down to it."""
        up = np.zeros(half.steps.shape, dtype=bool)
        down = np.zeros_like(up)
        for voice in set(voices) & set(half.steps.real_voices):
            on_third = half.steps.after.members[:, voice] == third
            move = half.steps.moves[voice]
            up |= on_third & (move > 0) & (move <= STEP)
            down |= on_third & (move < 0) & (move >= -STEP)
        return up, down

    def _everywhere(self) -> tuple[Bits, Bits]:
        return np.full(self.lows.steps.shape, ALL), np.full(self.highs.steps.shape, ALL)


def _bit(where: NDArray[np.bool_], place: int) -> Bits:
    bits: Bits = where.astype(np.uint64) << np.uint64(place)
    return bits


def _compare(old: NDArray[np.int16], new: NDArray[np.int16], *, sign: int) -> tuple[Bits, Bits]:
    """Words that share one bit where `new` lies beyond `old`: above for sign 1, below for -1."""
    heights = np.unique(old)
    place = np.searchsorted(heights, old).astype(np.uint64)
    beyond = (new[:, None] - heights) * sign > 0
    bits = beyond.astype(np.uint64) << np.arange(len(heights), dtype=np.uint64)
    return np.uint64(1) << place, np.bitwise_or.reduce(bits, axis=1, dtype=np.uint64)
