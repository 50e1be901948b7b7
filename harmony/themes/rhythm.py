"""Transformations of time: augmentation, meter, dance, syncopation, displacement."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from harmony.errors import HarmonyError
from harmony.pitch import Line, Meter, MeterMap, Note, Theme
from harmony.tables import read_rows
from harmony.themes.transform import derive

HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Dance:
    """A dance of the common practice: its meter and the rhythm of a bar, in quarters."""

    name: str
    meter: Meter
    rhythm: tuple[Fraction, ...]
    slowest_quarters_per_minute: float
    fastest_quarters_per_minute: float
    character: str

    def __post_init__(self) -> None:
        if sum(self.rhythm, Fraction(0)) != self.meter.bar_quarters:
            raise HarmonyError(
                f"The rhythm of the {self.name} does not fill a bar of {self.meter}."
            )


@cache
def dances() -> dict[str, Dance]:
    """Give the dances of data/dances.csv by name."""
    needs = ("name", "meter", "rhythm", "character")
    return {dance.name: dance for dance in read_rows("dances.csv", _row_to_dance, needs=needs)}


def _row_to_dance(row: Mapping[str, str]) -> Dance:
    return Dance(
        row["name"],
        Meter.from_text(row["meter"]),
        tuple(Fraction(text) for text in row["rhythm"].split()),
        float(row["slowest_quarters_per_minute"]),
        float(row["fastest_quarters_per_minute"]),
        row["character"],
    )


def stretch(theme: Theme, ratio: Fraction) -> Theme:
    """Multiply every duration by ``ratio``: above 1 augmentation, below 1 diminution.

    The meter stays, so the theme fills more or fewer bars of it.
    """
    if not 0 < ratio <= 16:
        raise HarmonyError(f"{ratio} cannot stretch a theme; give a ratio above 0 and up to 16.")
    line = stretch_line(theme.line, ratio)
    pickup = (theme.pickup * ratio) % theme.meters.changes[0][1].bar_quarters
    meters = MeterMap(theme.meters.changes[:1], pickup)
    ends = tuple(end * ratio for end in theme.phrase_ends)
    name = "augmentation" if ratio > 1 else "diminution"
    return derive(theme, f"{name} by {ratio}", line, meters=meters, phrase_ends=ends)


def stretch_line(line: Line, ratio: Fraction) -> Line:
    """Give a line with onsets and durations multiplied."""
    return Line(tuple(replace(n, onset=n.onset * ratio, duration=n.duration * ratio) for n in line))


def displace(theme: Theme, quarters: Fraction) -> Theme:
    """Begin later by ``quarters`` against the same bars (below 0: earlier, into a pickup)."""
    if quarters >= 0:
        line = theme.line.moved(quarters)
        ends = tuple(end + quarters for end in theme.phrase_ends)
        return derive(theme, f"displaced by {quarters}", line, phrase_ends=ends)
    bar = theme.meters.changes[0][1].bar_quarters
    pickup = theme.pickup - quarters
    if pickup >= bar:
        raise HarmonyError("A theme can be displaced earlier by less than a bar.")
    meters = replace(theme.meters, pickup=pickup)
    return derive(theme, f"displaced by {quarters}", theme.line, meters=meters)


def syncopate(theme: Theme) -> Theme:
    """Let notes that begin on a beat come half a beat early, tied over the beat.

    The first note stays, and so does a note whose predecessor is too short to
    give half a beat away.
    """
    notes = list(theme.line.notes)
    for index in range(1, len(notes)):
        note, before = notes[index], notes[index - 1]
        bar, beat = theme.meters.locate(note.onset)
        if note.pitch is None or beat.denominator != 1:
            continue
        half = theme.meters.meter_at(bar).beats_quarters[0] * HALF
        if before.end != note.onset or before.duration <= half:
            continue
        notes[index - 1] = replace(before, duration=before.duration - half)
        notes[index] = replace(note, onset=note.onset - half, duration=note.duration + half)
    return derive(theme, "syncopated", Line(tuple(notes)))


def change_meter(theme: Theme, meter: Meter) -> Theme:
    """Give the theme in another meter, a bar for a bar, accents kept on beats.

    Each beat goes to the beat nearest in proportion; where beats divide in two in
    one meter and in three in the other, halves become long and short.
    """
    old_map = theme.meters
    new_bar = meter.bar_quarters
    first = old_map.changes[0][1]
    new_pickup = Fraction(0)
    if old_map.pickup:
        new_pickup = new_bar - _move_in_bar(first.bar_quarters - old_map.pickup, first, meter)
    new_map = MeterMap.steady(meter, pickup=new_pickup)

    def move(quarters: Fraction) -> Fraction:
        bar, _ = old_map.locate(quarters)
        old = old_map.meter_at(bar)
        if bar == 0:
            inside = old.bar_quarters - old_map.pickup + quarters
            return _move_in_bar(inside, old, meter) - (new_bar - new_pickup)
        inside = quarters - old_map.bar_start(bar)
        return new_map.bar_start(bar) + _move_in_bar(inside, old, meter)

    notes = []
    for note in theme.line:
        onset, end = move(note.onset), move(note.end)
        notes.append(replace(note, onset=onset, duration=end - onset))
    return derive(
        theme,
        f"in {meter}",
        Line(tuple(notes)),
        meters=new_map,
        phrase_ends=tuple(move(end) for end in theme.phrase_ends),
    )


def _move_in_bar(inside: Fraction, old: Meter, new: Meter) -> Fraction:
    """Carry a time within a bar of one meter into a bar of another."""
    old_beats, new_beats = old.beats_quarters, new.beats_quarters
    if inside >= old.bar_quarters:
        return new.bar_quarters
    targets = _beat_targets(old_beats, new_beats)
    beat = old.quarters_to_beat(inside)
    whole = int(beat) - 1
    part = beat - int(beat)
    if old.is_compound != new.is_compound and len(old_beats) == len(new_beats):
        part = _divide_otherwise(part, to_threes=new.is_compound)
    return targets[whole] + part * (targets[whole + 1] - targets[whole])


def _beat_targets(
    old_beats: tuple[Fraction, ...], new_beats: tuple[Fraction, ...]
) -> list[Fraction]:
    """Give the new time at which each old beat begins, and the end of the bar.

    In proportion where one count of beats divides the other, else on the nearest
    beat; old beats that meet on one new beat divide it.
    """
    count, bar = len(old_beats), sum(new_beats, Fraction(0))
    if count % len(new_beats) == 0 or len(new_beats) % count == 0:
        return [bar * index / count for index in range(count + 1)]
    last = len(new_beats) - 1
    nearest = [min(int(Fraction(i * (last + 1), count) + HALF), last) for i in range(count)]
    targets = [sum(new_beats[:beat], Fraction(0)) for beat in nearest] + [bar]
    shared = list(targets)
    for index in range(count):
        first = targets.index(targets[index])
        after = next(place for place in range(index, count + 1) if targets[place] > targets[index])
        room = targets[after] - targets[index]
        shared[index] += room * (index - first) / (after - first)
    return shared


def _divide_otherwise(part: Fraction, *, to_threes: bool) -> Fraction:
    """Carry a place within a beat between halves and long-short thirds."""
    knee_old, knee_new = (HALF, Fraction(2, 3)) if to_threes else (Fraction(2, 3), HALF)
    if part <= knee_old:
        return part * knee_new / knee_old
    return knee_new + (part - knee_old) * (1 - knee_new) / (1 - knee_old)


def set_as_dance(theme: Theme, name: str) -> Theme:
    """Lay the theme's notes, bar by bar, over the rhythm of a dance.

    Every note is kept: a bar with more notes than the dance has divides the
    dance's longest notes, one with fewer repeats the notes that last longest.
    """
    wanted = name.strip().lower().replace("é", "e").replace("ä", "a")
    dance = dances().get(wanted)
    if dance is None:
        raise HarmonyError(f"{name!r} is not a dance known here; known are {', '.join(dances())}.")
    notes: list[Note] = []
    bar_quarters = dance.meter.bar_quarters
    start = Fraction(0)
    for bar in theme.meters.bars_through(theme.line.end):
        begin = theme.meters.bar_start(bar)
        inside = [
            note
            for note in theme.line
            if begin <= note.onset < begin + theme.meters.bar_length(bar)
            and note.tie not in ("continue", "stop")
        ]
        rhythm = _fit_rhythm(dance.rhythm, max(len(inside), 1))
        onset = start
        for note, duration in zip(_fill(inside, len(rhythm)), rhythm, strict=True):
            pitch = note.pitch if note else None
            notes.append(Note(onset, duration, pitch, None, note.marks if note else ()))
            onset += duration
        start += bar_quarters
    return derive(
        theme,
        f"as a {dance.name}",
        Line(tuple(notes)),
        meters=MeterMap.steady(dance.meter),
        phrase_ends=(),
        quarters_per_minute=(dance.slowest_quarters_per_minute + dance.fastest_quarters_per_minute)
        / 2,
    )


def _fit_rhythm(rhythm: tuple[Fraction, ...], count: int) -> tuple[Fraction, ...]:
    """Divide the longest notes of a rhythm in two until it has at least ``count``.

    A dotted note gives the plain note and what its dot was worth.
    """
    parts = list(rhythm)
    while len(parts) < count:
        longest = max(range(len(parts)), key=lambda index: parts[index])
        whole = parts[longest]
        first = whole * 2 / 3 if whole.numerator % 3 == 0 else whole / 2
        parts[longest : longest + 1] = [first, whole - first]
    return tuple(parts)


def _fill(notes: list[Note], count: int) -> list[Note | None]:
    """Repeat the longest notes in place until there are ``count`` of them."""
    if not notes:
        return [None] * count
    copies = [1] * len(notes)
    while sum(copies) < count:
        index = max(range(len(notes)), key=lambda i: (notes[i].duration / copies[i], -i))
        copies[index] += 1
    return [note for note, times in zip(notes, copies, strict=True) for _ in range(times)]
