"""The harmonic series: its partials, the notes nearest to them, and chords against it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch
from harmony.units import CENTS_PER_OCTAVE, CONCERT_A_HZ, midi_to_hz

#: Spelled intervals of the odd partials above the fundamental, within an octave
#: (common practice in scores; the 11th and 13th lie between two names).
_ODD_NAMES = {
    1: "P1",
    3: "P5",
    5: "M3",
    7: "m7",
    9: "M2",
    11: "A4",
    13: "m6",
    15: "M7",
    17: "A1",
    19: "m3",
    21: "P4",
    23: "A4",
    25: "A5",
    27: "M6",
    29: "m7",
    31: "M7",
}
MOST_PARTIALS = 32


@dataclass(frozen=True, slots=True)
class Partial:
    """One partial of a fundamental.

    ``cents`` is its height above the fundamental, ``nearest`` the nearest
    tempered note, ``deviation_cents`` the partial minus that note.
    """

    number: int
    frequency_hz: float
    cents: float
    nearest: Pitch
    deviation_cents: float


@dataclass(frozen=True, slots=True)
class Placed:
    """A note against a series: the nearest partial, and the note minus the partial.

    A ``deviation_cents`` beyond about 50 means that the note is not in the series.
    """

    pitch: Pitch
    partial: int
    deviation_cents: float

    @property
    def is_in_series(self) -> bool:
        """True within a quarter tone of the partial."""
        return abs(self.deviation_cents) <= 50.0


def partial_to_cents(number: int) -> float:
    """Give the height of a partial above its fundamental, in cents: 1200 log2(number).

    >>> round(partial_to_cents(3), 3)
    1901.955
    """
    return CENTS_PER_OCTAVE * math.log2(number)


@lru_cache(maxsize=64)
def harmonic_series(
    fundamental: Pitch, partials: int = 16, *, a4_hz: float = CONCERT_A_HZ
) -> tuple[Partial, ...]:
    """Give the partials 1 to ``partials`` of a tempered fundamental.

    Notes are twelve-tone equal temperament on ``a4_hz``; spelled as intervals
    above the fundamental where the partial's usual name is the nearest note.

    Raises
    ------
    HarmonyError
        For fewer than 1 or more than 32 partials.
    """
    if not 1 <= partials <= MOST_PARTIALS:
        raise HarmonyError(
            f"A series of {partials} partials cannot be shown; 1 to {MOST_PARTIALS} are accepted."
        )
    base_hz = midi_to_hz(fundamental.midi, a4_hz=a4_hz)
    found = []
    for number in range(1, partials + 1):
        cents = partial_to_cents(number)
        above = round(cents / 100.0)
        found.append(
            Partial(
                number,
                number * base_hz,
                cents,
                name_partial(fundamental, number),
                cents - 100.0 * above,
            )
        )
    return tuple(found)


def name_partial(fundamental: Pitch, number: int) -> Pitch:
    """Give the tempered note nearest to a partial, spelled above the fundamental."""
    odd, octaves = number, 0
    while odd % 2 == 0:
        odd, octaves = odd // 2, octaves + 1
    semitones = round(partial_to_cents(number) / 100.0)
    usual = Interval.from_text(_ODD_NAMES[odd])
    octaves_up = (semitones - usual.semitones) // 12
    steps = usual.steps + 7 * octaves_up
    return transpose(fundamental, Interval(steps, semitones))


def place_in_series(pitches: Sequence[Pitch], fundamental: Pitch) -> tuple[Placed, ...]:
    """Give each note's partial in the series of ``fundamental`` and its deviation.

    The partial is the whole number nearest to the ratio of the frequencies, at
    least 1; the deviation is the tempered note minus the partial, in cents.
    """
    placed = []
    for pitch in pitches:
        ratio = 2.0 ** ((pitch.midi - fundamental.midi) / 12.0)
        number = max(1, math.floor(ratio + 0.5))
        placed.append(Placed(pitch, number, CENTS_PER_OCTAVE * math.log2(ratio / number)))
    return tuple(placed)


def skipped_partials(placed: Sequence[Placed]) -> tuple[int, ...]:
    """Give the partials that lie between the chord's lowest and highest, but not in it."""
    used = {one.partial for one in placed if one.is_in_series}
    if not used:
        return ()
    return tuple(number for number in range(min(used), max(used)) if number not in used)
