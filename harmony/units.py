"""Units of time and pitch height, and conversions between them.

Durations are exact fractions of a quarter note; pitch height is a MIDI number
(60 is middle C), a frequency in hertz, or a distance in cents.
"""

from __future__ import annotations

import math
from fractions import Fraction

from harmony.errors import HarmonyError

CONCERT_A_HZ = 440.0  # ISO 16:1975
CONCERT_A_MIDI = 69
CENTS_PER_OCTAVE = 1200.0
FINEST_DENOMINATOR = 5040  # divides evenly by every tuplet number up to 10


def as_quarters(value: int | float | str | Fraction) -> Fraction:
    """Give a duration or position in quarter notes as an exact fraction.

    A float stands for the nearest fraction with a denominator up to 5040, so
    ``1/3`` written as 0.333333 is a triplet again.

    >>> as_quarters(0.3333333)
    Fraction(1, 3)
    """
    if isinstance(value, Fraction):
        return value
    try:
        exact = Fraction(value)
    except (ValueError, OverflowError, ZeroDivisionError, TypeError) as fault:
        raise HarmonyError(
            f"{value!r} is not a length in quarter notes; 1.5 or 3/2 is accepted."
        ) from fault
    return exact if isinstance(value, int) else exact.limit_denominator(FINEST_DENOMINATOR)


def quarters_to_json(value: Fraction) -> int | float:
    """Give a time in quarters as a plain number: whole where it is whole."""
    return int(value) if value.denominator == 1 else float(value)


def quarters_to_seconds(quarters: Fraction | float, quarters_per_minute: float) -> float:
    """Give the seconds that ``quarters`` last at a steady tempo."""
    return float(quarters) * 60.0 / quarters_per_minute


def midi_to_hz(midi: float, *, a4_hz: float = CONCERT_A_HZ) -> float:
    """Give the frequency of a MIDI number in twelve-tone equal temperament.

    >>> round(midi_to_hz(60), 4)
    261.6256
    """
    return float(a4_hz * 2.0 ** ((midi - CONCERT_A_MIDI) / 12.0))


def hz_to_midi(frequency_hz: float, *, a4_hz: float = CONCERT_A_HZ) -> float:
    """Give the (fractional) MIDI number of a frequency above zero."""
    return CONCERT_A_MIDI + 12.0 * math.log2(frequency_hz / a4_hz)


def ratio_to_cents(ratio: float) -> float:
    """Give the size of a frequency ratio in cents.

    >>> round(ratio_to_cents(3 / 2), 3)
    701.955
    """
    return CENTS_PER_OCTAVE * math.log2(ratio)
