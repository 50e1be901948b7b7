"""What many costs ask about the steps between two chords, worked out once a block."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from harmony.voicings.candidates import Voicings

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Steps:
    """All steps from the voicings `before` to the voicings `after`.

    Arrays of steps have shape (r, c): r voicings before, c after.
    """

    before: Voicings
    after: Voicings

    @property
    def voices(self) -> int:
        """Number of voices."""
        return int(self.before.pitches.shape[1])

    @property
    def shape(self) -> tuple[int, int]:
        """Number of voicings before and after."""
        return len(self.before), len(self.after)

    @property
    def real_voices(self) -> tuple[int, ...]:
        """The voices that double no other."""
        return self.after.frame.real_voices

    @cached_property
    def moves(self) -> NDArray[np.int16]:
        """Semitones each voice moves, up positive, shape (voices, r, c)."""
        old, new = self.before.pitches.T, self.after.pitches.T
        return np.ascontiguousarray(new[:, None, :] - old[:, :, None])

    @cached_property
    def sizes(self) -> NDArray[np.int16]:
        """Semitones each voice moves either way, shape (voices, r, c)."""
        return np.abs(self.moves)

    @cached_property
    def has_moved(self) -> BoolArray:
        """Which voices move, shape (voices, r, c)."""
        result: BoolArray = self.moves != 0
        return result

    @cached_property
    def staying(self) -> NDArray[np.uint8]:
        """Which of up to eight voices stay, as bits, the lowest voice first, shape (r, c)."""
        return staying_bits(self.before.pitches.T, self.after.pitches.T)


def staying_bits(old: NDArray[np.integer], new: NDArray[np.integer]) -> NDArray[np.uint8]:
    """Which voices stay, as bits; from pitches (voices, r) and (voices, c), shape (r, c)."""
    return compare_voices(old, new)[1]


def compare_voices(
    old: NDArray[np.integer], new: NDArray[np.integer]
) -> tuple[NDArray[np.uint16], NDArray[np.uint8]]:
    """Semitones all voices move together, and which of up to eight stay, as bits.

    From pitches (voices, r) and (voices, c); both shapes (r, c).
    """
    shape = old.shape[1], new.shape[1]
    total = np.zeros(shape, dtype=np.uint16)
    staying = np.zeros(shape, dtype=np.uint8)
    some = np.zeros(shape, dtype=np.uint8)
    move = np.empty(shape, dtype=np.int8)
    stays = np.empty(shape, dtype=bool)
    # Everything is done in bytes and in place, so that it stays in the cache: a byte holds
    # any difference of two pitches, and the sum of two of them taken either way.
    before = np.ascontiguousarray(old, dtype=np.int8)[:, :, None]
    after = np.ascontiguousarray(new, dtype=np.int8)[:, None, :]
    for number, voice in enumerate(range(len(old) - 1, -1, -1)):
        np.subtract(before[voice], after[voice], out=move)
        np.equal(move, 0, out=stays)
        np.left_shift(staying, 1, out=staying)
        np.bitwise_or(staying, stays.view(np.uint8), out=staying)
        np.abs(move, out=move)
        np.add(some, move.view(np.uint8), out=some)
        if number % 2 or voice == 0:
            total += some
            some.fill(0)
    return total, staying
