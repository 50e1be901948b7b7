"""From the bars of a file to a map of meters that places them in time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.meter import Meter, MeterMap
from harmony.reading.losses import Losses
from harmony.scoring.score import Bar

_USUAL = Meter((4,), 4)
_MOST_UNITS = 64


@dataclass(slots=True)
class RawBar:
    """A bar as found: what is in it says how long it is.

    ``filled`` is the length in quarters of the longest part, ``meter`` the meter
    it is written in or None before the first.
    """

    label: str = ""
    meter: Meter | None = None
    filled: Fraction = Fraction(0)
    left: str = ""
    right: str = ""
    repeats: list[str] = field(default_factory=list)
    ending: str = ""


def place_bars(raw: Sequence[RawBar], losses: Losses) -> tuple[MeterMap, tuple[Bar, ...]]:
    """Give the map of meters and every bar in its place.

    A first bar shorter than its meter is a pickup. Another bar of unusual length
    keeps its length: the map then has a change of meter there that is not
    printed. A last bar may be short.
    """
    if not raw:
        raise HarmonyError("The score has no bars; one with notes in bars is accepted.")
    lengths = []
    for number, bar in enumerate(raw, start=1):
        length = bar.filled or (bar.meter or _USUAL).bar_quarters
        fitted = _fit(length, number)
        if fitted != length:
            losses.tell(f"Bar {bar.label or number} has no writeable length; a rest fills it up.")
        lengths.append(fitted)
    whole = (raw[0].meter or _USUAL).bar_quarters
    if lengths[0] < whole and len(raw) > 1:
        changes, bars = _place(raw, lengths, first=0)
        if changes[0][1].bar_quarters > lengths[0]:
            return MeterMap(changes, lengths[0]), bars
    # Also where a first bar is as long as the second: then it is simply bar 1.
    changes, bars = _place(raw, lengths, first=1)
    return MeterMap(changes), bars


def _place(
    raw: Sequence[RawBar], lengths: Sequence[Fraction], *, first: int
) -> tuple[tuple[tuple[int, Meter], ...], tuple[Bar, ...]]:
    changes: list[tuple[int, Meter]] = []
    bars: list[Bar] = []
    onset = Fraction(0)
    for number, (bar, length) in enumerate(zip(raw, lengths, strict=True), start=first):
        meter = bar.meter or _USUAL
        is_last = number - first == len(raw) - 1
        kept = meter
        if length > meter.bar_quarters or (length < meter.bar_quarters and not is_last):
            kept = _meter_of_length(length)
        if number >= 1 and (not changes or changes[-1][1] != kept):
            changes.append((number, kept))
        bars.append(
            Bar(
                number,
                onset,
                length,
                meter,
                label="" if bar.label == str(number) else bar.label,
                left=bar.left,
                right=bar.right,
                repeats=tuple(bar.repeats),
                ending=bar.ending,
            )
        )
        onset += length
    return tuple(changes), tuple(bars)


def are_regular(bars: Sequence[Bar], meters: MeterMap) -> bool:
    """True where the map alone says all there is to the bars.

    A double bar at the very end is understood.
    """
    last = bars[-1].number
    return all(
        bar.length == meters.bar_length(bar.number)
        and bar.meter == meters.meter_at(bar.number)
        and not (bar.label or bar.left or bar.repeats or bar.ending)
        and (not bar.right or (bar.number == last and bar.right == "light-heavy"))
        for bar in bars
    )


def _fit(length: Fraction, number: int) -> Fraction:
    """Give the length, or the next longer one that a meter can say."""
    for unit in (64, 32, 16, 8, 4, 2, 1):
        step = Fraction(4, unit)
        count = -(-length // step)
        if count <= _MOST_UNITS:
            return count * step
    raise HarmonyError(
        f"Bar {number} lasts {float(length):g} quarters; up to 256 are accepted.",
        where=f"bar {number}",
    )


def _meter_of_length(length: Fraction) -> Meter:
    """Give the plainest meter whose bar has exactly this (fitted) length."""
    for unit in (4, 8, 16, 32, 64, 2, 1):
        count = length * unit / 4
        if count.denominator == 1 and 1 <= count <= _MOST_UNITS:
            return Meter((int(count),), unit)
    raise AssertionError(length)
