"""Harmonic rhythm: where chords may change under a melody."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.harmonising.melody import Melody, is_slow
from harmony.pitch.meter import Meter

#: How quick a planned harmonic rhythm may be asked to be.
PACES = ("usual", "slow", "beats")


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch under one chord: times in quarters; ``is_locked`` once the composer says so."""

    onset: Fraction
    duration: Fraction
    is_locked: bool = False

    def __post_init__(self) -> None:
        if self.duration <= 0:
            raise HarmonyError("A stretch of harmony must have a length.")

    @property
    def end(self) -> Fraction:
        """When it stops."""
        return self.onset + self.duration


def is_hymn_like(melody: Melody) -> bool:
    """True for a melody that moves mostly a note a beat, as chorales do.

    Such melodies take a chord to each note (common practice); so do melodies with
    fermatas at their phrase ends. A melody marked slow is none.
    """
    theme = melody.theme
    if is_slow(theme):
        return False
    if sum("fermata" in note.marks for note in theme.line) >= 2:
        return True
    beat = theme.meters.meter_at(1).beats_quarters[0]
    on_beat = sum(note.duration >= beat for note in melody.notes)
    one = sum(note.duration == beat for note in melody.notes)
    return one >= 0.45 * len(melody.notes) and on_beat >= 0.55 * len(melody.notes)


def plan_spans(melody: Melody, *, pace: str = "usual") -> tuple[Span, ...]:
    """Plan where chords may change.

    A beat each under hymn-like melodies; else a bar each in meters of three, two
    or compound beats and half bars in four, quicker in the bar before a phrase
    ends. ``pace`` is ``usual``, ``slow`` (twice as long), ``beats``, or ``even``: a
    bass that repeats its figure needs it never quicker before a close, a bar each
    in quick fours, and no chord to each note of a hymn. A change of chord always
    falls on a beat; the first span begins with the first note.

    Raises
    ------
    HarmonyError
        For another pace.
    """
    if pace not in (*PACES, "even"):
        raise HarmonyError(f"{pace!r} is no pace; {', '.join(PACES)} are accepted.", where="pace")
    meters = melody.theme.meters
    hymn = is_hymn_like(melody)
    cuts: set[Fraction] = {melody.notes[0].onset}
    end = melody.end
    for bar in meters.bars_through(end):
        start = meters.bar_start(bar)
        meter = meters.meter_at(bar)
        length = meters.bar_length(bar)
        skipped = meter.bar_quarters - length
        closing = pace != "even" and any(
            start < phrase.end <= start + 2 * length and phrase.end - start > length
            for phrase in melody.phrases
        )
        beats = _change_beats(meter, melody, hymn=hymn, pace=pace, closing=closing, bar=bar)
        for place in beats:
            when = start + place - skipped
            if melody.notes[0].onset < when < end and place >= skipped:
                cuts.add(when)
    ordered = sorted(cuts)
    return tuple(Span(a, b - a) for a, b in zip(ordered, [*ordered[1:], end], strict=True) if b > a)


def _change_beats(
    meter: Meter, melody: Melody, *, hymn: bool, pace: str, closing: bool, bar: int
) -> list[Fraction]:
    """The places in a bar where the chord may change."""
    lengths = meter.beats_quarters
    starts = [sum(lengths[:i], Fraction(0)) for i in range(len(lengths))]
    if pace == "beats" or (hymn and pace not in ("slow", "even")):
        return starts
    tempo = melody.theme.quarters_per_minute
    if len(lengths) == 4:
        quick = tempo is not None and tempo > 132
        if pace == "slow" or (quick and not closing and pace != "usual"):
            return [starts[0]]
        return [starts[0], starts[2]]
    if pace == "slow":
        return [starts[0]] if bar % 2 == 1 else []
    if closing and len(lengths) == 3:
        return [starts[0], starts[2]]
    if closing and len(lengths) == 2:
        return starts
    return [starts[0]]


def split(spans: Sequence[Span], at: Fraction) -> tuple[Span, ...]:
    """Split the span around a time in two."""
    out: list[Span] = []
    for span in spans:
        if span.onset < at < span.end:
            out += [Span(span.onset, at - span.onset), Span(at, span.end - at)]
        else:
            out.append(span)
    return tuple(out)


def join(spans: Sequence[Span], at: Fraction) -> tuple[Span, ...]:
    """Join the span that begins at a time to the one before it."""
    out: list[Span] = []
    for span in spans:
        if out and span.onset == at:
            before = out.pop()
            if before.is_locked or span.is_locked:
                raise HarmonyError("A locked stretch of harmony is not joined; unlock it first.")
            out.append(Span(before.onset, before.duration + span.duration))
        else:
            out.append(span)
    return tuple(out)


def drag(spans: Sequence[Span], boundary: Fraction, to: Fraction) -> tuple[Span, ...]:
    """Move the boundary between two spans to another time between their outer ends."""
    for before, after in itertools.pairwise(spans):
        if after.onset == boundary:
            if not before.onset < to < after.end:
                raise HarmonyError("A boundary stays between the chords on either side of it.")
            moved = {
                before: Span(before.onset, to - before.onset, before.is_locked),
                after: Span(to, after.end - to, after.is_locked),
            }
            return tuple(moved.get(span, span) for span in spans)
    raise HarmonyError("No chord begins there; drag the beginning of a chord.")
