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
        return staying_bits(
            *(np.ascontiguousarray(own.pitches.T) for own in (self.before, self.after))
        )


def staying_bits(old: NDArray[np.integer], new: NDArray[np.integer]) -> NDArray[np.uint8]:
    """Which voices stay, as bits; from pitches (voices, r) and (voices, c), shape (r, c)."""
    bits = np.zeros((old.shape[1], new.shape[1]), dtype=np.uint8)
    for voice, (one, other) in enumerate(zip(old, new, strict=True)):
        bits |= (one[:, None] == other).view(np.uint8) << np.uint8(voice)
    return bits
