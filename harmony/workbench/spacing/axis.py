"""The pitch axis of the picture: where a pitch lies, and where a staff shows it.

Equal temperament divides the axis evenly, a staff goes by letters. The staves are
drawn to the same height all the same: seven letters take the room of twelve
semitones, and no natural note is shown more than half a semitone from its place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmony.acoustics.series import partial_to_cents
from harmony.pitch.spelling import Pitch

_LETTERS = "CDEFGAB"
SEMITONES_PER_LETTER = 12.0 / 7.0
#: C D E F G A B lie 0, 2, 4, 5, 7, 9, 11 semitones up, on a staff 12/7 apart: so far above
#: where evenly spaced letters would have them, on the average.
_MEAN_LEAN = 2.0 / 7.0
MIDDLE_C = 60


@dataclass(frozen=True, slots=True)
class Axis:
    """Heights on the picture. ``lowest`` (MIDI) lies at ``bottom``; y grows downward."""

    lowest: float
    bottom: float
    pixels_per_semitone: float

    @classmethod
    def around(cls, heights: Sequence[float], *, top: float, bottom: float, widest: float) -> Axis:
        """Give an axis with room for all ``heights`` (MIDI), at most ``widest`` a semitone."""
        low, high = min(heights), max(heights)
        scale = min(widest, (bottom - top) / max(high - low, 1.0))
        spare = (bottom - top) - scale * (high - low)
        return cls(low, bottom - spare / 2.0, scale)

    @property
    def space(self) -> float:
        """The distance between two lines of a staff."""
        return 2.0 * SEMITONES_PER_LETTER * self.pixels_per_semitone

    def y_of(self, midi: float) -> float:
        """Where a height in MIDI numbers lies, fractions allowed."""
        return self.bottom - (midi - self.lowest) * self.pixels_per_semitone

    def y_of_partial(self, fundamental: Pitch, number: int) -> float:
        """Where a partial lies."""
        return self.y_of(fundamental.midi + partial_to_cents(number) / 100.0)

    def y_of_letter(self, letters: int) -> float:
        """Where the staff shows a letter, counted from C4 up."""
        return self.y_of(MIDDLE_C + SEMITONES_PER_LETTER * letters + _MEAN_LEAN)


def letters_above_middle(pitch: Pitch) -> int:
    """Count the letters from C4 up to a pitch; below it the number is negative."""
    return 7 * (pitch.octave - 4) + _LETTERS.index(pitch.letter)
