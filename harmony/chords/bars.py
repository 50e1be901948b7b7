"""From chords in bars to chords in time.

A draft of bars says what stands in each bar and at which beat, as far as it was
written; :func:`lay_out` gives every chord its onset and its length.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.chords.progression import Progression, Slot
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter, MeterMap
from harmony.pitch.spelling import PitchName

#: makes an error that points into the text: (message, start, end, bar)
FaultMaker = Callable[[str, int, int, int], TextError]


@dataclass(frozen=True, slots=True)
class Event:
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


@dataclass(frozen=True, slots=True)
class _Placed:
    """An event with its time in the bar and in the whole."""

    event: Event
    bar: Bar
    in_bar: Fraction
    onset: Fraction = Fraction(0)


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
    for bar, inside in zip(bars, placed, strict=True):
        start = meters.bar_start(bar.number)
        if bar.number == 0:
            start -= bar.meter.bar_quarters - meters.pickup
        inside = _resolve_repeat(bar, inside, timed, fault)
        inside = _resolve_holds(inside, timed, fault)
        timed += [replace(item, onset=start + item.in_bar) for item in inside]
    end = meters.bar_start(bars[-1].number) + meters.bar_length(bars[-1].number)
    return Progression(tuple(_to_slots(timed, end)), meters, text)


def _to_slots(timed: Sequence[_Placed], end: Fraction) -> list[Slot]:
    ends = [item.onset for item in timed[1:]] + [end]
    slots = []
    for item, stop in zip(timed, ends, strict=True):
        event = item.event
        beat = item.bar.meter.quarters_to_beat(item.in_bar)
        slots.append(
            Slot(
                item.bar.number, beat, item.onset, stop - item.onset, event.key, event.chord,
                event.span, event.pedal, event.pedal_above,
            )
        )  # fmt: skip
    return slots


def _place(bar: Bar, fault: FaultMaker) -> list[_Placed]:
    """Give each event of a bar its time in the bar: beats first, the rest shared."""
    groups: list[tuple[Fraction, list[Event]]] = []
    for event in bar.events:
        if event.beat is not None:
            groups.append((_beat_time(bar, event, fault), [event]))
        elif groups:
            groups[-1][1].append(event)
        else:
            groups.append((Fraction(0), [event]))
    placed: list[_Placed] = []
    for index, (time, events) in enumerate(groups):
        stop = groups[index + 1][0] if index + 1 < len(groups) else bar.meter.bar_quarters
        if stop <= time:
            late = groups[index + 1][1][0] if index + 1 < len(groups) else events[0]
            raise fault(
                f"{_name(late)} stands on a beat that is not after the chord before it; beats rise"
                " within a bar.",
                *late.span,
                bar.number,
            )
        share = (stop - time) / len(events)
        placed += [_Placed(event, bar, time + share * n) for n, event in enumerate(events)]
    return placed


def _beat_time(bar: Bar, event: Event, fault: FaultMaker) -> Fraction:
    assert event.beat is not None
    try:
        return bar.meter.beat_to_quarters(event.beat)
    except HarmonyError as wrong:
        raise fault(wrong.message, *event.span, bar.number) from wrong


def _map_meters(bars: Sequence[Bar], placed: Sequence[list[_Placed]]) -> MeterMap:
    pickup = Fraction(0)
    if bars[0].number == 0:
        first = placed[0][0].in_bar if placed[0] else Fraction(0)
        pickup = bars[0].meter.bar_quarters - first
    changes: list[tuple[int, Meter]] = []
    for bar in bars:
        if not changes:
            changes.append((1, bar.meter))
        elif bar.number == 1:
            changes[0] = (1, bar.meter)
        elif changes[-1][1] != bar.meter:
            changes.append((bar.number, bar.meter))
    return MeterMap(tuple(changes), pickup)


def _resolve_repeat(
    bar: Bar, inside: list[_Placed], timed: Sequence[_Placed], fault: FaultMaker
) -> list[_Placed]:
    """Fill a bar that repeats the one before."""
    if not bar.repeats:
        return inside
    if inside or not timed:
        reason = "has no bar before it" if not timed else "stands beside other chords"
        raise fault(
            f"The % {reason}; alone in a bar it repeats that before.", *bar.span, bar.number
        )
    before = [item for item in timed if item.bar.number == bar.number - 1]
    if before and before[0].bar.meter != bar.meter:
        raise fault("The % repeats a bar of another meter.", *bar.span, bar.number)
    if not before or before[0].in_bar > 0:
        sounding = [item for item in timed if item.bar.number < bar.number - 1]
        if sounding and not (before and bar.number == 1):
            before = [replace(sounding[-1], in_bar=Fraction(0)), *before]
    return [_Placed(replace(item.event, span=bar.span), bar, item.in_bar) for item in before]


def _resolve_holds(
    inside: list[_Placed], timed: Sequence[_Placed], fault: FaultMaker
) -> list[_Placed]:
    """Let slashes sound on within a bar, and strike the chord again at a bar's head."""
    kept: list[_Placed] = []
    for item in inside:
        if not item.event.is_hold:
            kept.append(item)
            continue
        if kept:
            continue
        if not timed:
            raise fault("The / has no chord before it to go on with.", *item.event.span,
                        item.bar.number)  # fmt: skip
        before = timed[-1].event
        kept.append(replace(item, event=replace(before, span=item.event.span)))
    return kept


def _name(event: Event) -> str:
    return repr(event.chord.figure) if event.chord is not None else "N.C."
