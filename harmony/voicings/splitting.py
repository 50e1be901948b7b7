"""The steps between two chords told by halves: the lower voices and the upper.

A cost that adds up voice by voice, or neighbour by neighbour, says so itself
(`Term.voice_share`, `Term.pair_share`); the four that look across the halves are put into
words of bits here.  A voice by which all others are measured stands in both halves.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from harmony.search import Bars, Halves, SplitPairs, Word
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import Amounts, Cost, Term
from harmony.voicings.costs.common_tones import CommonTones
from harmony.voicings.costs.crossing import Overlap
from harmony.voicings.costs.leaps import Leaps
from harmony.voicings.costs.members import Doubling, doubling_points, third_of
from harmony.voicings.costs.motion import Evenness, Motion
from harmony.voicings.costs.perfects import (
    PERFECT_CLASSES,
    STEP,
    ConsecutivePerfects,
    DirectPerfects,
)
from harmony.voicings.costs.resolution import Resolution
from harmony.voicings.costs.voices import Stillness, TopLine
from harmony.voicings.measures import Measures, SeparateMeasures
from harmony.voicings.movement import TERM, MovingMeasures, MovingVoice, can_move
from harmony.voicings.rules import KeepsShape, NoConsecutivePerfects, StepRule
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
        Resolution, TopLine, Stillness, Evenness,
    }
)  # fmt: skip


def split_pairs(
    before: Voicings, after: Voicings, measures: Measures, rules: Sequence[StepRule] = ()
) -> SplitPairs | None:
    """Tell the steps by halves; None where a cost, a rule, or the voices do not allow it."""
    moving = measures.moving if isinstance(measures, MovingMeasures) else ()
    plain = measures.base if isinstance(measures, MovingMeasures) else measures
    if not isinstance(plain, SeparateMeasures) or not all(map(_can_bar, rules)):
        return None
    costs = plain.costs
    if not all(map(_can_split, costs)):
        return None
    voices = before.pitches.shape[1]
    real = after.frame.real_voices
    half = _middle(real, voices)
    crossing = [(low, high) for low, high in combinations(real, 2) if low < half <= high]
    if not len(before) or not len(after):
        return None
    if max(len(np.unique(column)) for column in before.pitches.T) > WORD:
        return None
    shared = {voices - 1 - one.voice for one in moving}
    if any(isinstance(each, (Evenness, KeepsShape)) for each in (*costs, *rules)):
        shared.add(0)
    lows, highs = (
        _Half(before, after, part, shared) for part in (range(half), range(half, voices))
    )
    scene = _Scene(before, after, lows, highs, half)
    words = scene.tell_costs(costs, crossing)
    lower, upper = lows.add_up(costs), highs.add_up(costs)
    if moving:
        still = [cost.name for cost in costs].index(TERM)
        lower[still], upper[still], word = scene.tell_movement(still, moving)
        words.append(word)
    # The word with most bits first: the search reads it for every step it looks at.
    words.sort(key=lambda word: -word.most)
    return SplitPairs(
        tuple(cost.name for cost in costs),
        Halves(lows.old, highs.old),
        Halves(lows.new, highs.new),
        lower,
        upper,
        tuple(words),
        scene.tell_bars(rules, crossing) if rules else None,
    )


def _can_split(cost: Cost) -> bool:
    """Only what is known to be the sum of its shares, or is put into words below.

    A cost derived from one of these may charge otherwise, so the type itself is asked.
    """
    if type(cost) in SHARED:
        return True
    kind = type(cost)
    has_no_pair = getattr(kind, "pair", None) is Term.pair
    return has_no_pair and getattr(kind, "pair_share", None) is Term.pair_share


def _can_bar(rule: StepRule) -> bool:
    """The same of rules: those put into bars below."""
    if type(rule) is KeepsShape:
        return len(_list_shapes(rule.tolerance)) <= WORD
    return type(rule) is NoConsecutivePerfects


def _list_shapes(tolerance: int) -> list[tuple[int, int]]:
    """How far voices may stay behind and go ahead of the lowest, by kind."""
    return [(low, high) for low in range(-tolerance, 1) for high in range(low + tolerance + 1)]


def _middle(real: tuple[int, ...], voices: int) -> int:
    """The lowest voice of the upper half."""
    return real[len(real) // 2] if len(real) > 1 else max(voices // 2, 1)


class _Half:
    """The different halves on one side, before and after, and the steps between them.

    `steps` are steps between whole voicings, one for each different half, of which
    only the `voices` of this half and those it shares with the other may be asked.
    """

    def __init__(self, before: Voicings, after: Voicings, voices: range, shared: Set[int]) -> None:
        columns = sorted({*voices, *shared})
        first, self.old = _tell_apart(before.pitches[:, columns])
        then, self.new = _tell_apart(after.pitches[:, columns])
        self.steps = Steps(before.chosen(first), after.chosen(then))
        self.voices = voices

    def add_up(self, costs: Sequence[Cost]) -> Amounts:
        """What the voices of this half add to every cost, shape (costs, halves, halves)."""
        voices = self.voices
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

    def tell_costs(self, costs: Sequence[Cost], crossing: list[tuple[int, int]]) -> list[Word]:
        """What the four costs that look across the halves count there."""
        words: list[Word] = []
        for term, cost in enumerate(costs):
            if isinstance(cost, ConsecutivePerfects):
                words += self.tell_consecutives(term, crossing)
            elif isinstance(cost, Overlap):
                words += self.tell_overlaps(term)
            elif isinstance(cost, DirectPerfects):
                words += self.tell_direct(term)
            elif isinstance(cost, Doubling):
                words += self.tell_doubling(term)
        return words

    def tell_movement(
        self, term: int, moving: Sequence[MovingVoice]
    ) -> tuple[Amounts, Amounts, Word]:
        """Where asked voices cannot move, for all each half knows; then what only both know.

        A voice moves where it can beside the lower voices and beside the upper ones, so
        one bit each tells that it can beside the lower, and cannot beside the upper.
        """
        stuck, never = (np.zeros(half.steps.shape, np.int32) for half in (self.lows, self.highs))
        lower, upper = (np.zeros(half.steps.shape, np.uint64) for half in (self.lows, self.highs))
        for number, one in enumerate(moving):
            moves = can_move(self.lows.steps, one, self.lows.voices)
            stuck += ~moves
            lower |= _bit(moves, number)
            upper |= _bit(~can_move(self.highs.steps, one, self.highs.voices), number)
        return stuck, never, Word(term, 1, len(moving), *self._always(), lower, upper)

    def tell_bars(self, rules: Sequence[StepRule], crossing: list[tuple[int, int]]) -> Bars:
        """The steps that rules do not allow."""
        lower, upper = (np.zeros(half.steps.shape, np.int32) for half in (self.lows, self.highs))
        words: list[Word] = []
        for rule in rules:
            if isinstance(rule, NoConsecutivePerfects):
                perfects = ConsecutivePerfects("", "", "", "")
                for table, half in ((lower, self.lows), (upper, self.highs)):
                    table += half.add_up([perfects])[0]
                words += self.tell_consecutives(0, crossing)
            elif isinstance(rule, KeepsShape):
                words.append(self._tell_shape(rule, lower, upper))
        return Bars(lower, upper, tuple(words))

    def _tell_shape(self, rule: KeepsShape, lower: Amounts, upper: Amounts) -> Word:
        """One bit for each kind of shape of the lower voices; the upper tell what goes ill."""
        shapes = _list_shapes(rule.tolerance)
        bits = []
        for table, half in ((lower, self.lows), (upper, self.highs)):
            apart = half.steps.moves[[*half.voices]] - half.steps.moves[0]
            low, high = np.minimum(apart.min(axis=0), 0), np.maximum(apart.max(axis=0), 0)
            table += high - low > rule.tolerance
            word = np.zeros(half.steps.shape, dtype=np.uint64)
            for number, (least, most) in enumerate(shapes):
                if half is self.lows:
                    word |= _bit((low == least) & (high == most), number)
                else:
                    span = np.maximum(high, most) - np.minimum(low, least)
                    word |= _bit(span > rule.tolerance, number)
            bits.append(word)
        return Word(0, 1, 1, *self._always(), *bits)

    def tell_consecutives(self, term: int, crossing: list[tuple[int, int]]) -> list[Word]:
        """Two bits for each pair across: both move, from octave to octave, fifth to fifth."""
        return [
            self._tell_some_consecutives(term, crossing[start : start + PAIRS])
            for start in range(0, len(crossing), PAIRS)
        ]

    def _tell_some_consecutives(self, term: int, crossing: list[tuple[int, int]]) -> Word:
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

    def _always(self) -> tuple[Bits, Bits]:
        """Bits that leave a word to the halves, whatever the voicings before and after."""
        return np.full(len(self.before), ALL), np.full(len(self.after), ALL)

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
