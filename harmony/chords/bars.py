"""From chords in bars to chords in time.

A draft of bars says what stands in each bar and at which beat, as far as it was
written; :func:`lay_out` gives every chord its onset and its length.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from harmony.chords.chord import Chord
from harmony.chords.progression import Progression, Slot
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter, MeterMap
from harmony.pitch.spelling import PitchName

_ZERO = Fraction(0)

#: makes an error that points into the text: (message, start, end, bar)
FaultMaker = Callable[[str, int, int, int], TextError]


class Event(NamedTuple):
    """Something in a bar.

    ``beat`` is where it was placed, None where it shares the bar. ``chord`` is
    None for N.C.; ``is_hold`` marks a slash, which lets the chord before sound on.
    """

    key: Key | None
    chord: Chord | None
    span: tuple[int, int]
    beat: Fraction | None = None
    is_hold: bool = False
    pedal: PitchName | None = None
    pedal_above: bool = False


@dataclass(slots=True)
class Bar:
    """A bar while it is read; ``repeats`` is set where ``%`` stands in it."""

    number: int
    meter: Meter
    events: list[Event] = field(default_factory=list)
    repeats: bool = False
    span: tuple[int, int] = (0, 0)


class _Placed(NamedTuple):
    """An event with its time and beat in the bar, and its time in the whole."""

    event: Event
    bar: Bar
    in_bar: Fraction
    beat: Fraction
    share: Fraction  # how long it lasts if nothing is held over from its bar
    onset: Fraction = _ZERO


def lay_out(bars: Sequence[Bar], text: str, fault: FaultMaker) -> Progression:
    """Give every chord its time.

    Bars rise in number; bar 0 is a pickup as long as from its first chord to its
    end. A chord lasts until the next one, over bar lines and empty bars.

    Raises
    ------
    TextError
        Where a beat is not in its bar, or two chords stand on one beat.
    """
    placed = [_place(bar, fault) for bar in bars]
    meters = _map_meters(bars, placed)
    timed: list[_Placed] = []
    start, before = _ZERO, None
    for bar, inside in zip(bars, placed, strict=True):
        start = _start_of(bar, before, start, meters)
        before = bar
        if bar.repeats:
            inside = _resolve_repeat(bar, inside, timed, fault)
        if not _is_plain(bar.events):
            inside = _resolve_holds(inside, timed, fault)
        for event, _, in_bar, beat, share, _ in inside:
            onset = start + in_bar if in_bar else start
            timed.append(_Placed(event, bar, in_bar, beat, share, onset))
    end = start + bars[-1].meter.bar_quarters
    return Progression(tuple(_to_slots(timed, end)), meters, text)


def _is_plain(events: Sequence[Event]) -> bool:
    """Say whether a bar's chords simply share it: no beats, no slashes."""
    for event in events:  # noqa: SIM110 - asked twice a bar; a generator doubles its price
        if event.beat is not None or event.is_hold:
            return False
    return True


def _start_of(bar: Bar, before: Bar | None, start: Fraction, meters: MeterMap) -> Fraction:
    """Give when a bar begins (a pickup as if it were whole), from the bar before it."""
    if before is None:
        if bar.number == 0:
            return meters.pickup - bar.meter.bar_quarters
        return (bar.number - 1) * bar.meter.bar_quarters
    bars = bar.number - before.number
    length = before.meter.bar_quarters
    return start + (length if bars == 1 else bars * length)


def _to_slots(timed: Sequence[_Placed], end: Fraction) -> list[Slot]:
    slots = []
    following: Iterable[_Placed | None] = (*timed[1:], None)
    for (event, bar, _, beat, share, onset), after in zip(timed, following, strict=True):
        if after is None:
            length = end - onset
        elif after.bar is bar or (after.bar.number == bar.number + 1 and not after.in_bar):
            length = share  # the next chord stands where this one's share ends
        else:
            length = after.onset - onset
        slots.append(
            Slot(
                bar.number, beat, onset, length, event.key, event.chord, event.span,
                event.pedal, event.pedal_above,
            )
        )  # fmt: skip
    return slots


@lru_cache(maxsize=1024)
def _share(meter: Meter, count: int) -> tuple[tuple[Fraction, Fraction, Fraction], ...]:
    """Give (time, beat, length) in the bar of chords that share it equally."""
    share = meter.bar_quarters / count
    times = [share * index for index in range(count)]
    return tuple((time, meter.quarters_to_beat(time), share) for time in times)


def _place(bar: Bar, fault: FaultMaker) -> list[_Placed]:
    """Give each event of a bar its time in the bar: beats first, the rest shared."""
    if not bar.events:
        return []
    if _is_plain(bar.events):
        shares = _share(bar.meter, len(bar.events))
        return [
            _Placed(event, bar, *share) for event, share in zip(bar.events, shares, strict=True)
        ]
    groups: list[tuple[Fraction, list[Event]]] = []
    for event in bar.events:
        if event.beat is not None:
            groups.append((_beat_time(bar, event, fault), [event]))
        elif groups:
            groups[-1][1].append(event)
        else:
            groups.append((_ZERO, [event]))
    placed: list[_Placed] = []
    for index, (time, events) in enumerate(groups):
        is_last = index + 1 == len(groups)
        stop = bar.meter.bar_quarters if is_last else groups[index + 1][0]
        if stop <= time:
            late = events[0] if is_last else groups[index + 1][1][0]
            raise fault(
                f"{_name(late)} stands on a beat that is not after the chord before it; beats rise"
                " within a bar.",
                *late.span,
                bar.number,
            )
        share = (stop - time) / len(events)
        for number, event in enumerate(events):
            moment = time + share * number
            placed.append(_Placed(event, bar, moment, bar.meter.quarters_to_beat(moment), share))
    return placed


def _beat_time(bar: Bar, event: Event, fault: FaultMaker) -> Fraction:
    assert event.beat is not None
    try:
        return bar.meter.beat_to_quarters(event.beat)
    except HarmonyError as wrong:
        raise fault(wrong.message, *event.span, bar.number) from wrong


def _map_meters(bars: Sequence[Bar], placed: Sequence[list[_Placed]]) -> MeterMap:
    pickup = _ZERO
    if bars[0].number == 0:
        first = placed[0][0].in_bar if placed[0] else _ZERO
        pickup = bars[0].meter.bar_quarters - first
    changes: list[tuple[int, Meter]] = []
    for bar in bars:
        if not changes:
            changes.append((1, bar.meter))
        elif bar.number == 1:
            changes[0] = (1, bar.meter)
        elif changes[-1][1] is not bar.meter and changes[-1][1] != bar.meter:
            changes.append((bar.number, bar.meter))
    return MeterMap(tuple(changes), pickup)


def _resolve_repeat(
    bar: Bar, inside: list[_Placed], timed: Sequence[_Placed], fault: FaultMaker
) -> list[_Placed]:
    """Fill a bar that repeats the one before."""
    if inside or not timed:
        reason = "has no bar before it" if not timed else "stands beside other chords"
        message = f"The % {reason}; alone in a bar it repeats that before."
        raise fault(message, *bar.span, bar.number)
    before = _items_of(bar.number - 1, timed)
    if before and before[0].bar.meter != bar.meter:
        raise fault("The % repeats a bar of another meter.", *bar.span, bar.number)
    if bar.number > 1 and (not before or before[0].in_bar):
        # The bar before began with a chord held over from an earlier one.
        earlier = len(timed) - len(before)
        if earlier:
            length = before[0].in_bar if before else bar.meter.bar_quarters
            held = _Placed(timed[earlier - 1].event, bar, _ZERO, Fraction(1), length)
            before = [held, *before]
    return [item._replace(event=item.event._replace(span=bar.span), bar=bar) for item in before]


def _items_of(number: int, timed: Sequence[_Placed]) -> list[_Placed]:
    """Give what stands in the bar of that number, which is the last one timed or empty."""
    first = len(timed)
    while first and timed[first - 1].bar.number == number:
        first -= 1
    return list(timed[first:])


def _resolve_holds(
    inside: list[_Placed], timed: Sequence[_Placed], fault: FaultMaker
) -> list[_Placed]:
    """Let slashes sound on within a bar, and strike the chord again at a bar's head."""
    kept: list[_Placed] = []
    for item in inside:
        if not item.event.is_hold:
            kept.append(item)
        elif not kept:
            if not timed:
                message = "The / has no chord before it to go on with."
                raise fault(message, *item.event.span, item.bar.number)
            again = timed[-1].event._replace(span=item.event.span, beat=None)
            kept.append(item._replace(event=again))
        else:
            kept[-1] = kept[-1]._replace(share=kept[-1].share + item.share)
    return kept


def _name(event: Event) -> str:
    return repr(event.chord.figure) if event.chord is not None else "N.C."
