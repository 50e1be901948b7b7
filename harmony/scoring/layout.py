"""Laying a score out: its events divided over bars, as notes that can be written."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.pitch.meter import Meter
from harmony.scoring.event import Event, Tuplet
from harmony.scoring.part import Staff
from harmony.scoring.score import Bar
from harmony.scoring.value import FLAGS, VALUES, Piece, divide, duration_to_value

_NO_TIME = Fraction(0)


@dataclass(frozen=True, slots=True)
class Written:
    """One written note, chord or rest in a bar.

    ``piece`` counts the parts of an event that was divided, from 0, and
    ``is_last`` marks the last of them. ``offset`` is from the bar line.
    ``event`` is None for silence nobody wrote: a rest in the first voice of a
    staff, empty space in the others. ``fills_bar`` marks a bar's rest.
    ``opens_tuplet`` and ``closes_tuplet`` bound a group; ``beams`` holds
    MusicXML's beam words, outermost first.
    """

    event: Event | None
    piece: int
    offset: Fraction
    duration: Fraction
    value: str
    dots: int
    tuplet: Tuplet | None = None
    is_last: bool = True
    fills_bar: bool = False
    opens_tuplet: bool = False
    closes_tuplet: bool = False
    beams: tuple[str, ...] = ()

    @property
    def is_rest(self) -> bool:
        """True for a rest, written or filled in."""
        return self.event is None or not self.event.pitches


def lay_out_staff(staff: Staff, bars: Sequence[Bar]) -> list[dict[int, list[Written]]]:
    """Give for each bar the written notes of each voice, by voice number.

    The staff's first voice is complete in every bar; another voice is there only
    in bars where it has events, and complete in those.
    """
    starts = [bar.onset for bar in bars]
    first_voice = staff.voices[0] if staff.events else 1
    laid: list[dict[int, list[Written]]] = [{} for _ in bars]
    for voice in staff.voices or (1,):
        spans: list[list[tuple[Event, Fraction, Fraction, int, bool]]] = [[] for _ in bars]
        for event in staff.voice(voice):
            _spread(event, bars, starts, spans)
        for bar, found, places in zip(bars, spans, laid, strict=True):
            if found or voice == first_voice:
                places[voice] = _group(_fill(bar, found), bar)
    return laid


def _spread(
    event: Event,
    bars: Sequence[Bar],
    starts: list[Fraction],
    spans: list[list[tuple[Event, Fraction, Fraction, int, bool]]],
) -> None:
    """Cut an event at bar lines, numbering nothing yet."""
    index = max(bisect_right(starts, event.onset) - 1, 0)
    if event.grace is not None:
        spans[index].append((event, event.onset - starts[index], _NO_TIME, 0, True))
        return
    place, number = event.onset, 0
    while place < event.end and index < len(bars):
        stop = min(event.end, bars[index].end)
        if stop > place:
            is_last = stop == event.end
            spans[index].append((event, place - starts[index], stop - place, number, is_last))
            number += 1
        place, index = max(place, stop), index + 1


def _fill(bar: Bar, spans: list[tuple[Event, Fraction, Fraction, int, bool]]) -> list[Written]:
    """Write one voice of a bar, silence included."""
    # A pickup is the end of a whole bar, so its beats are counted from there.
    shift = max(bar.meter.bar_quarters - bar.length, _NO_TIME) if bar.number == 0 else _NO_TIME
    written: list[Written] = []
    place = _NO_TIME
    for event, offset, duration, number, is_last in spans:
        if offset > place:
            written += _silence(bar, shift, place, offset - place)
        if event.grace is not None:
            value, dots = duration_to_value(event.grace.written) or ("eighth", 0)
            written.append(Written(event, 0, offset, _NO_TIME, value, dots))
            continue
        if not event.pitches and duration == bar.length and number == 0 and is_last:
            written.append(_bar_rest(event, bar))
        else:
            pieces = divide(bar.meter, offset + shift, duration, event.tuplet)
            for count, piece in enumerate(pieces):
                # Pieces across several bars are told apart by bar first.
                mark = number * 64 + count
                last = is_last and count == len(pieces) - 1
                written.append(_placed(event, mark, piece, shift, is_last=last))
        place = offset + duration
    if place < bar.length:
        written += _silence(bar, shift, place, bar.length - place)
    return written


def _placed(
    event: Event | None, number: int, piece: Piece, shift: Fraction, *, is_last: bool
) -> Written:
    return Written(
        event,
        number,
        piece.offset - shift,
        piece.duration,
        piece.value,
        piece.dots,
        piece.tuplet,
        is_last=is_last,
    )


def _bar_rest(event: Event | None, bar: Bar) -> Written:
    value, dots = duration_to_value(bar.length) or ("whole", 0)
    return Written(event, 0, _NO_TIME, bar.length, value, dots, fills_bar=True)


def _silence(bar: Bar, shift: Fraction, place: Fraction, length: Fraction) -> list[Written]:
    if length == bar.length:
        return [_bar_rest(None, bar)]
    return [
        _placed(None, 0, piece, shift, is_last=True)
        for piece in divide(bar.meter, place + shift, length)
    ]


def _group(written: list[Written], bar: Bar) -> list[Written]:
    """Mark where tuplets begin and end, and beam the short notes by beat."""
    if all(item.tuplet is None and item.value not in FLAGS for item in written):
        return written
    opens, closes = _tuplet_bounds(written)
    shift = bar.meter.bar_quarters - bar.length if bar.number == 0 else _NO_TIME
    beams = _beam_words(written, beam_ends(bar.meter), max(shift, _NO_TIME), opens | closes)
    return [
        replace(
            item,
            opens_tuplet=index in opens,
            closes_tuplet=index in closes,
            beams=beams[index],
        )
        if index in opens or index in closes or beams[index]
        else item
        for index, item in enumerate(written)
    ]


def _tuplet_bounds(written: list[Written]) -> tuple[set[int], set[int]]:
    """Find the first and last notes of each tuplet group.

    A group ends as soon as its notes fill the time of its smallest value, or
    where the ratio changes.
    """
    opens: set[int] = set()
    closes: set[int] = set()
    current: Tuplet | None = None
    total, smallest, latest = _NO_TIME, _NO_TIME, -1
    for index, item in enumerate(written):
        if item.duration == 0:
            continue
        if current is not None and item.tuplet != current:
            closes.add(latest)
            current = None
        if item.tuplet is not None:
            if current is None:
                opens.add(index)
                current, total, smallest = item.tuplet, _NO_TIME, VALUES["breve"]
            total += item.duration
            smallest = min(smallest, VALUES[item.value] / 2**item.dots)
            if (total / (item.tuplet.normal * smallest)).denominator == 1:
                closes.add(index)
                current = None
        latest = index
    if current is not None:
        closes.add(latest)
    return opens, closes


def beam_ends(meter: Meter) -> tuple[Fraction, ...]:
    """Give the places in a bar at which beams end.

    Beats, save in meters counted in eighths or shorter that are neither compound nor
    additive: there three, four, or pairs of units and a last three belong together.
    """
    lengths = list(meter.beats_quarters)
    if meter.unit >= 8 and len(meter.groups) == 1 and not meter.is_compound:
        unit, count = meter.unit_quarters, meter.count
        pairs = [2 * unit] * (count // 2)
        if count % 2 and pairs:
            pairs[-1] = 3 * unit
        lengths = pairs or [unit]
    ends, passed = [], _NO_TIME
    for length in lengths:
        passed += length
        ends.append(passed)
    return tuple(ends)


def _beam_words(
    written: list[Written], ends: tuple[Fraction, ...], shift: Fraction, bounds: set[int]
) -> list[tuple[str, ...]]:
    words: list[tuple[str, ...]] = [()] * len(written)
    group: list[int] = []
    home = -1
    for index, item in enumerate(written):
        if item.duration == 0:
            continue
        place = bisect_right(ends, item.offset + shift)
        is_short = item.value in FLAGS and not item.is_rest
        if group and (place != home or not is_short or _parts_tuplets(group[-1], index, bounds)):
            _beam(written, group, words)
            group = []
        if is_short:
            group.append(index)
            home = place
    _beam(written, group, words)
    return words


def _parts_tuplets(before: int, index: int, bounds: set[int]) -> bool:
    """True where a tuplet ends or begins between two neighbours."""
    return before in bounds and index in bounds


def _beam(written: list[Written], group: list[int], words: list[tuple[str, ...]]) -> None:
    if len(group) < 2:
        return
    counts = [FLAGS[written[index].value] for index in group]
    for at, index in enumerate(group):
        found = []
        for level in range(1, counts[at] + 1):
            before = at > 0 and counts[at - 1] >= level
            after = at + 1 < len(group) and counts[at + 1] >= level
            if before and after:
                found.append("continue")
            elif after:
                found.append("begin")
            elif before:
                found.append("end")
            else:
                found.append("forward hook" if at == 0 else "backward hook")
        words[index] = tuple(found)
