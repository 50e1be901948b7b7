"""Note values: how a length of time is written with notes, dots and tuplets."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.pitch.meter import Meter
from harmony.scoring.event import Tuplet

#: MusicXML's names of the note values, in quarters, longest first.
VALUES: dict[str, Fraction] = {
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
}
FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6}
_DOTTED = {
    length * Fraction(2 ** (dots + 1) - 1, 2**dots): (name, dots)
    for dots in (2, 1, 0)
    for name, length in VALUES.items()
}
_MOST_ACTUAL = 64  # a tuplet with more notes is a fault of the data, not a rhythm


@dataclass(frozen=True, slots=True)
class Piece:
    """One written note: its place and length in quarters, value, dots and tuplet."""

    offset: Fraction
    duration: Fraction
    value: str
    dots: int
    tuplet: Tuplet | None = None


def duration_to_value(duration: Fraction) -> tuple[str, int] | None:
    """Give (value, dots) of a length that one note can write, else None.

    >>> duration_to_value(Fraction(3, 2))
    ('quarter', 1)
    """
    return _DOTTED.get(duration)


def odd_part(number: int) -> int:
    """Give what is left of a whole number after all factors of two.

    >>> odd_part(12)
    3
    """
    return number // (number & -number)


@lru_cache(maxsize=65536)
def divide(
    meter: Meter, start: Fraction, duration: Fraction, tuplet: Tuplet | None = None
) -> tuple[Piece, ...]:
    """Divide a length inside one bar into notes that show the beats.

    ``start`` is counted from the bar line of a whole bar. A note may cross a beat
    where readers expect it (from a stronger place, up to a stronger place, or as
    a plain syncopation in the middle); otherwise it is cut there, to be tied. A
    length in thirds, fifths, ... of a beat becomes a tuplet; ``tuplet`` says
    which one is meant where the composer has said.
    """
    if tuplet is not None:
        value = _DOTTED.get(duration * tuplet.actual / tuplet.normal)
        return (
            (Piece(start, duration, *value, tuplet),)
            if value
            else _by_binary(start, duration, tuplet)
        )
    end = start + duration
    if odd_part(duration.denominator) > 1 or odd_part(start.denominator) > 1:
        return _divide_tuplet(meter, start, end)
    value = _DOTTED.get(duration)
    if value and _is_clear(meter, start, end, value[1]):
        return (Piece(start, duration, *value),)
    cut = _best_cut(meter, start, end)
    if cut is None:
        return _by_binary(start, duration, None)
    return divide(meter, start, cut - start) + divide(meter, cut, end - cut)


def _level(meter: Meter, place: Fraction) -> int:
    """Rank a place in the bar: 4 bar line, 3 half bar, 2 beat, 1 half beat, 0 and below finer."""
    if place == 0 or place >= meter.bar_quarters:
        return 4
    coarse = meter.weight(place)
    if coarse >= 2:
        return coarse
    beat = meter.quarters_to_beat(place)
    within = (beat - int(beat)) * (3 if meter.is_compound else 1)
    finer = within.denominator.bit_length() - 1
    return 1 - finer if meter.is_compound else 2 - finer


def _grid(meter: Meter, start: Fraction, end: Fraction) -> list[Fraction]:
    """Give the places strictly inside, on a grid as fine as the two ends."""
    step = Fraction(1, max(start.denominator, end.denominator, meter.unit // 4, 2))
    places = range(int(start // step) + 1, int(-(-end // step)))
    return [place * step for place in places]


def _inside(meter: Meter, start: Fraction, end: Fraction) -> list[tuple[int, Fraction]]:
    return [(_level(meter, p), p) for p in _grid(meter, start, end)]


def _is_clear(meter: Meter, start: Fraction, end: Fraction, dots: int) -> bool:
    """True where one note from start to end leaves the beats readable."""
    if start == 0 and end == meter.bar_quarters:
        return True
    inside = _inside(meter, start, end)
    if not inside:
        return True
    strongest = max(level for level, _ in inside)
    before, after = _level(meter, start), _level(meter, end)
    if meter.is_compound and strongest >= 2:
        return min(before, after) >= 2
    if before >= strongest:
        return dots < 2 or after >= 1
    if after >= strongest and before >= strongest - 1:
        return dots < 2
    middle = (start + end) / 2
    return (
        dots == 0
        and before == after == strongest - 1
        and [place for level, place in inside if level == strongest] == [middle]
    )


def _best_cut(meter: Meter, start: Fraction, end: Fraction) -> Fraction | None:
    """Choose where to cut: the strongest place inside, and there the most even division."""
    inside = _inside(meter, start, end)
    if not inside:
        return None
    strongest = max(level for level, _ in inside)
    places = [place for level, place in inside if level == strongest]

    def cost(place: Fraction) -> tuple[int, Fraction, Fraction]:
        unwritable = sum(length not in _DOTTED for length in (place - start, end - place))
        return unwritable, abs(place - start - (end - place)), -place

    return min(places, key=cost)


def _divide_tuplet(meter: Meter, start: Fraction, end: Fraction) -> tuple[Piece, ...]:
    """Divide a length that begins or ends on a tuplet's note."""
    duration = end - start
    beats, passed = [], Fraction(0)
    for length in meter.beats_quarters:
        passed += length
        beats.append(passed)
    crossed = [beat for beat in beats if start < beat < end]
    if crossed and not _fills_evenly(meter, start, duration):
        cut = crossed[0] if odd_part(start.denominator) > 1 else crossed[-1]
        return divide(meter, start, cut - start) + divide(meter, cut, end - cut)
    actual = odd_part(duration.denominator)
    if actual == 1:
        value = _DOTTED.get(duration)
        return (Piece(start, duration, *value),) if value else _by_binary(start, duration, None)
    tuplet = Tuplet(actual, 2 ** (actual.bit_length() - 1))
    value = _DOTTED.get(duration * tuplet.actual / tuplet.normal)
    if value is None:
        return _by_binary(start, duration, tuplet)
    return (Piece(start, duration, *value, tuplet),)


def _fills_evenly(meter: Meter, start: Fraction, duration: Fraction) -> bool:
    """True where the length is one of equal notes that fill two or four beats from a beat."""
    for beats in (2, 4):
        span = beats * meter.beats_quarters[0]
        if (span / duration).denominator == 1 and (start % span % duration) == 0:
            return True
    return False


def _by_binary(start: Fraction, duration: Fraction, tuplet: Tuplet | None) -> tuple[Piece, ...]:
    """Write a length as the longest plain notes that add up to it."""
    ratio = Fraction(tuplet.normal, tuplet.actual) if tuplet else Fraction(1)
    if tuplet is not None and tuplet.actual > _MOST_ACTUAL:
        raise _unwritable(duration)
    pieces, place, left = [], start, duration / ratio
    for name, length in VALUES.items():
        while left >= length:
            pieces.append(Piece(place, length * ratio, name, 0, tuplet))
            place += length * ratio
            left -= length
    if left:
        raise _unwritable(duration)
    return tuple(pieces)


def _unwritable(duration: Fraction) -> HarmonyError:
    return HarmonyError(
        f"A length of {duration} quarters has no note value; the shortest is a 256th note."
    )
