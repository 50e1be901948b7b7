"""Laying a score out: its events divided over bars, as notes that can be written.

Times are ticks of a :class:`harmony.scoring.timeline.Timeline`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from harmony.pitch.meter import Meter
from harmony.scoring.event import Event, Tuplet
from harmony.scoring.part import Staff
from harmony.scoring.ticks import fraction_to_ticks
from harmony.scoring.timeline import Timeline
from harmony.scoring.value import FLAGS, VALUES, divide, duration_to_value

_MOST_PIECES = 64  # of one event in one bar


@dataclass(frozen=True, slots=True)
class Written:
    """One written note, chord or rest in a bar.

    ``piece`` is 0 for the first of the parts that an event was divided into and
    rises; ``is_last`` marks the last of them. ``offset`` is from the bar line, in
    ticks like ``duration``. ``event`` is None for silence nobody wrote: a rest in
    the first voice of a staff, empty space in the others. ``fills_bar`` marks a
    bar's rest. ``opens_tuplet`` and ``closes_tuplet`` bound a group; ``beams``
    holds MusicXML's beam words, outermost first.
    """

    event: Event | None
    piece: int
    offset: int
    duration: int
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


#: An event's stretch inside one bar: event, offset, ticks, piece, is it the last.
_Span = tuple[Event, int, int, int, bool]
#: A written note before it is one: offset, ticks, value, dots, tuplet.
_Piece = tuple[int, int, str, int, Tuplet | None]


@dataclass(frozen=True, slots=True)
class _Frame:
    """A bar as the layout sees it, in ticks.

    ``shift`` is what a pickup lacks of a bar; ``is_whole`` says that the bar is as
    long as its meter, so that a bar's rest can fill it.
    """

    meter: Meter
    length: int
    shift: int
    divisions: int
    is_whole: bool

    def divide(self, offset: int, ticks: int, tuplet: Tuplet | None = None) -> tuple[_Piece, ...]:
        """Divide a length inside the bar into written notes."""
        return _pieces(self.meter, self.shift, self.divisions, offset, ticks, tuplet)


@lru_cache(maxsize=65536)
def _pieces(
    meter: Meter, shift: int, divisions: int, offset: int, ticks: int, tuplet: Tuplet | None
) -> tuple[_Piece, ...]:
    start, duration = Fraction(offset + shift, divisions), Fraction(ticks, divisions)
    return tuple(
        (
            fraction_to_ticks(piece.offset, divisions) - shift,
            fraction_to_ticks(piece.duration, divisions),
            piece.value,
            piece.dots,
            piece.tuplet,
        )
        for piece in divide(meter, start, duration, tuplet)
    )


def lay_out_staff(staff: Staff, timeline: Timeline) -> list[dict[int, list[Written]]]:
    """Give for each bar the written notes of each voice, by voice number.

    The staff's first voice is complete in every bar; another voice is there only
    in bars where it has events, and complete in those.
    """
    frames = []
    for bar, length in zip(timeline.bars, timeline.lengths, strict=True):
        # A pickup is the end of a whole bar, so its beats are counted from there.
        whole = fraction_to_ticks(bar.meter.bar_quarters, timeline.divisions)
        shift = max(whole - length, 0) if bar.number == 0 else 0
        frames.append(_Frame(bar.meter, length, shift, timeline.divisions, length == whole))
    laid: list[dict[int, list[Written]]] = [{} for _ in frames]
    spans: dict[int, list[list[_Span]]] = {}
    for event in staff.events:
        if event.voice not in spans:
            spans[event.voice] = [[] for _ in frames]
        _spread(event, timeline, spans[event.voice])
    voices = sorted(spans) or [1]
    for voice in voices:
        for frame, found, places in zip(
            frames, spans.get(voice) or [[] for _ in frames], laid, strict=True
        ):
            if found or voice == voices[0]:
                places[voice] = _group(_fill(frame, found), frame)
    return laid


def _spread(event: Event, timeline: Timeline, spans: list[list[_Span]]) -> None:
    """Cut an event at bar lines."""
    starts, lengths = timeline.starts, timeline.lengths
    place = timeline.ticks(event.onset)
    index = max(bisect_right(starts, place) - 1, 0)
    if event.grace is not None:
        spans[index].append((event, place - starts[index], 0, 0, True))
        return
    end = place + timeline.ticks(event.duration)
    piece = 0
    while place < end:
        stop = min(end, starts[index] + lengths[index])
        if stop > place:
            spans[index].append((event, place - starts[index], stop - place, piece, stop == end))
            piece += _MOST_PIECES
            place = stop
        index += 1


def _fill(frame: _Frame, spans: list[_Span]) -> list[Written]:
    """Write one voice of a bar, silence included."""
    written: list[Written] = []
    place = 0
    for event, offset, ticks, number, is_last in spans:
        if offset > place:
            written += _silence(frame, place, offset - place)
            place = offset
        if event.grace is not None:
            value, dots = duration_to_value(event.grace.written) or ("eighth", 0)
            written.append(Written(event, 0, offset, 0, value, dots))
            continue
        if not event.pitches and ticks == frame.length and frame.is_whole:
            written.append(_bar_rest(event, frame))
        else:
            pieces = frame.divide(offset, ticks, event.tuplet)
            written += [
                Written(event, number + count, *piece, is_last=is_last and count == len(pieces) - 1)
                for count, piece in enumerate(pieces)
            ]
        place = offset + ticks
    if place < frame.length:
        written += _silence(frame, place, frame.length - place)
    return written


def _bar_rest(event: Event | None, frame: _Frame) -> Written:
    length = Fraction(frame.length, frame.divisions)
    value, dots = duration_to_value(length) or ("whole", 0)
    return Written(event, 0, 0, frame.length, value, dots, fills_bar=True)


def _silence(frame: _Frame, place: int, ticks: int) -> list[Written]:
    if ticks == frame.length and frame.is_whole:
        return [_bar_rest(None, frame)]
    return [Written(None, 0, *piece) for piece in frame.divide(place, ticks)]


def _group(written: list[Written], frame: _Frame) -> list[Written]:
    """Mark where tuplets begin and end, and beam the short notes by beat."""
    if all(item.tuplet is None and item.value not in FLAGS for item in written):
        return written
    opens, closes = _tuplet_bounds(written, frame.divisions)
    ends = [fraction_to_ticks(end, frame.divisions) - frame.shift for end in beam_ends(frame.meter)]
    beams = _beam_words(written, ends, opens, closes)
    return [
        replace(
            item, opens_tuplet=index in opens, closes_tuplet=index in closes, beams=beams[index]
        )
        if index in opens or index in closes or beams[index]
        else item
        for index, item in enumerate(written)
    ]


def _tuplet_bounds(written: list[Written], divisions: int) -> tuple[set[int], set[int]]:
    """Find the first and last notes of each tuplet group.

    A group ends as soon as its notes fill the time of its smallest value, or
    where the ratio changes.
    """
    opens: set[int] = set()
    closes: set[int] = set()
    current: Tuplet | None = None
    total, latest = 0, -1
    smallest = VALUES["breve"]
    for index, item in enumerate(written):
        if item.duration == 0:
            continue
        if current is not None and item.tuplet != current:
            closes.add(latest)
            current = None
        if item.tuplet is not None:
            if current is None:
                opens.add(index)
                current, total, smallest = item.tuplet, 0, VALUES["breve"]
            total += item.duration
            smallest = min(smallest, VALUES[item.value] / 2**item.dots)
            filled = Fraction(total, divisions) / (item.tuplet.normal * smallest)
            if filled.denominator == 1:
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
    ends, passed = [], Fraction(0)
    for length in lengths:
        passed += length
        ends.append(passed)
    return tuple(ends)


def _beam_words(
    written: list[Written], ends: Sequence[int], opens: set[int], closes: set[int]
) -> list[tuple[str, ...]]:
    words: list[tuple[str, ...]] = [()] * len(written)
    group: list[int] = []
    home = latest = -1
    for index, item in enumerate(written):
        if item.duration == 0:
            continue
        place = bisect_right(ends, item.offset)
        is_short = item.value in FLAGS and not item.is_rest
        # A beam never crosses the edge of a tuplet, so that either can hold the other.
        parts = index in opens or latest in closes
        latest = index
        if group and (place != home or not is_short or parts):
            _beam(written, group, words)
            group = []
        if is_short:
            group.append(index)
            home = place
    _beam(written, group, words)
    return words


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
