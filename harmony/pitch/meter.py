"""Meters, their beats, and the map from bar and beat to time."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from fractions import Fraction

from harmony.errors import HarmonyError

_TEXT = re.compile(r"(\d{1,3}(?:\+\d{1,3}){0,15})\s*/\s*(\d{1,3})")
_UNITS = (1, 2, 4, 8, 16, 32, 64)


@dataclass(frozen=True, slots=True)
class Meter:
    """A time signature: ``groups`` of units (one number unless additive), and the unit.

    ``Meter((3,), 4)`` is 3/4; ``Meter((3, 2), 8)`` is 3+2/8.
    """

    groups: tuple[int, ...]
    unit: int
    bar_quarters: Fraction = field(init=False, repr=False, compare=False)
    """The length of a bar in quarters."""
    beats_quarters: tuple[Fraction, ...] = field(init=False, repr=False, compare=False)
    """The lengths of the beats of a bar, in quarters."""

    def __post_init__(self) -> None:
        if not self.groups or any(group < 1 for group in self.groups) or sum(self.groups) > 64:
            raise HarmonyError(
                f"{self} is not a meter: its upper figure is from 1 to 64, as in 3/4 or 3+2/8."
            )
        if self.unit not in _UNITS:
            raise HarmonyError(
                f"{self} is not a meter: its lower figure is 1, 2, 4, 8, 16, 32 or 64."
            )
        # Asked for at every chord of a piece, so reckoned once.
        object.__setattr__(self, "bar_quarters", self.count * self.unit_quarters)
        object.__setattr__(self, "beats_quarters", self._measure_beats())

    def _measure_beats(self) -> tuple[Fraction, ...]:
        if len(self.groups) > 1:
            return tuple(group * self.unit_quarters for group in self.groups)
        if self.is_compound:
            return (3 * self.unit_quarters,) * (self.count // 3)
        return (self.unit_quarters,) * self.count

    @classmethod
    def from_text(cls, text: str) -> Meter:
        """Read ``3/4``, ``6/8``, ``3+2/8``, ``C`` (4/4), ``C|`` (2/2)."""
        common = {"C": "4/4", "c": "4/4", "C|": "2/2", "c|": "2/2"}.get(text.strip(), text.strip())
        match = _TEXT.fullmatch(common)
        if match is None:
            raise HarmonyError(f"{text!r} is not a meter; write it as 3/4, 6/8 or 3+2/8.")
        return cls(tuple(int(group) for group in match[1].split("+")), int(match[2]))

    @property
    def count(self) -> int:
        """The upper figure: how many units make a bar."""
        return sum(self.groups)

    @property
    def unit_quarters(self) -> Fraction:
        """The length of the lower figure's note value, in quarters."""
        return Fraction(4, self.unit)

    @property
    def is_compound(self) -> bool:
        """True for 6/8, 9/8, 12/8 and their like, whose beats fall in threes."""
        return len(self.groups) == 1 and self.count > 3 and self.count % 3 == 0 and self.unit >= 8

    def beat_to_quarters(self, beat: Fraction) -> Fraction:
        """Give the time of a beat (counted from 1, fractions allowed) in its bar."""
        whole = int(beat)
        lengths = self.beats_quarters
        if beat < 1 or whole > len(lengths):
            raise HarmonyError(
                f"{self} has beats 1 to {len(lengths)}; {float(beat):g} is not among them."
            )
        return sum(lengths[: whole - 1], Fraction(0)) + (beat - whole) * lengths[whole - 1]

    def quarters_to_beat(self, quarters: Fraction) -> Fraction:
        """Give the beat (counted from 1) at a time from the start of the bar."""
        passed = Fraction(0)
        lengths = self.beats_quarters
        for number, length in enumerate(lengths, start=1):
            if quarters < passed + length:
                return number + (quarters - passed) / length
            passed += length
        return len(lengths) + 1 + (quarters - passed) / lengths[-1]

    def weight(self, quarters: Fraction) -> int:
        """Say how strong a place in the bar is.

        4 at the downbeat, 3 at a half bar of four or six beats' kind, 2 on
        another beat, 1 on half a beat, 0 elsewhere (common practice).
        """
        if quarters == 0:
            return 4
        beat = self.quarters_to_beat(quarters)
        beats = len(self.beats_quarters)
        if beat.denominator == 1:
            return 3 if beats % 2 == 0 and beats > 2 and beat == beats // 2 + 1 else 2
        thirds = self.is_compound and (beat * 3).denominator == 1
        return 1 if thirds or (beat * 2).denominator == 1 else 0

    def __str__(self) -> str:
        return f"{'+'.join(str(group) for group in self.groups)}/{self.unit}"


@dataclass(frozen=True, slots=True)
class MeterMap:
    """The meters of a piece: from which bar each holds, and the pickup.

    ``changes`` is ((bar, meter), ...) with bars rising from 1; ``pickup`` is the
    length in quarters of bar 0, or 0 where the piece begins with bar 1. Time 0
    is the first instant, pickup included.
    """

    changes: tuple[tuple[int, Meter], ...]
    pickup: Fraction = Fraction(0)
    _starts: tuple[Fraction, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.changes or self.changes[0][0] != 1:
            raise HarmonyError("The first meter must hold from bar 1.")
        bars = [bar for bar, _ in self.changes]
        if sorted(set(bars)) != bars:
            raise HarmonyError("Meter changes must come at rising bars.")
        if not 0 <= self.pickup <= self.changes[0][1].bar_quarters:
            raise HarmonyError("A pickup is not longer than the bar after it.")
        starts = [self.pickup]
        for (bar, meter), (next_bar, _) in zip(self.changes, self.changes[1:], strict=False):
            starts.append(starts[-1] + (next_bar - bar) * meter.bar_quarters)
        object.__setattr__(self, "_starts", tuple(starts))

    @classmethod
    def steady(cls, meter: Meter | str, *, pickup: Fraction = Fraction(0)) -> MeterMap:
        """Give the map of one meter throughout."""
        return cls(((1, Meter.from_text(meter) if isinstance(meter, str) else meter),), pickup)

    @property
    def first_bar(self) -> int:
        """0 where there is a pickup, else 1."""
        return 0 if self.pickup else 1

    def meter_at(self, bar: int) -> Meter:
        """Give the meter of a bar (the pickup has the first meter)."""
        return self.changes[max(bisect_right([b for b, _ in self.changes], bar) - 1, 0)][1]

    def bar_start(self, bar: int) -> Fraction:
        """Give the time at which a bar begins, in quarters."""
        if bar <= 0:
            return Fraction(0)
        index = bisect_right([b for b, _ in self.changes], bar) - 1
        first, meter = self.changes[index]
        return self._starts[index] + (bar - first) * meter.bar_quarters

    def bar_length(self, bar: int) -> Fraction:
        """Give the length of a bar in quarters (bar 0: the pickup)."""
        return self.pickup if bar == 0 else self.meter_at(bar).bar_quarters

    def locate(self, quarters: Fraction) -> tuple[int, Fraction]:
        """Give the bar and the beat (from 1) at a time.

        In a pickup beats are counted as in a whole bar, so it ends with the last.
        """
        if quarters < self.pickup:
            meter = self.changes[0][1]
            return 0, meter.quarters_to_beat(meter.bar_quarters - self.pickup + quarters)
        index = bisect_right(self._starts, quarters) - 1
        first, meter = self.changes[index]
        bars, rest = divmod(quarters - self._starts[index], meter.bar_quarters)
        return first + int(bars), meter.quarters_to_beat(rest)

    def say_place(self, quarters: Fraction) -> str:
        """Say in words where a time is: ``bar 3 beat 2.5``."""
        return say_place(*self.locate(quarters))

    def offset(self, bar: int, beat: Fraction = Fraction(1)) -> Fraction:
        """Give the time in quarters of a beat of a bar."""
        if bar == 0 and self.pickup:
            meter = self.changes[0][1]
            place = meter.beat_to_quarters(beat) - (meter.bar_quarters - self.pickup)
            if place < 0:
                raise HarmonyError(f"The pickup does not reach back to beat {float(beat):g}.")
            return place
        return self.bar_start(bar) + self.meter_at(bar).beat_to_quarters(beat)

    def weight(self, quarters: Fraction) -> int:
        """Say how strong a time is in its bar, 4 to 0 (see :meth:`Meter.weight`)."""
        bar, _ = self.locate(quarters)
        if bar == 0:
            meter = self.changes[0][1]
            return meter.weight(meter.bar_quarters - self.pickup + quarters)
        return self.meter_at(bar).weight(quarters - self.bar_start(bar))

    def bars_through(self, end: Fraction) -> range:
        """Give the numbers of the bars that lie before time ``end``."""
        if end <= 0:
            return range(self.first_bar, self.first_bar)
        last, beat = self.locate(end)
        return range(self.first_bar, last if beat == 1 and last > self.first_bar else last + 1)


def say_place(bar: int, beat: Fraction) -> str:
    """Say a place in words, as every sentence and every fault names it.

    >>> say_place(3, Fraction(5, 2))
    'bar 3 beat 2.5'
    >>> say_place(9, Fraction(5, 3))
    'bar 9 beat 1 2/3'
    """
    # A half or quarter beat has an exact decimal; a third of one has not.
    has_decimal = beat.denominator & (beat.denominator - 1) == 0
    said = f"{float(beat):g}" if has_decimal else f"{beat // 1} {beat % 1}"
    return f"bar {bar} beat {said}"
