"""A theme described: range, shape, intervals, repeats, the chords its bars imply."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.pitch import Interval, Key, Pitch, PitchName, Theme
from harmony.themes.degrees import key_or_none

_COUNTS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven"}


@dataclass(frozen=True, slots=True)
class Repeat:
    """Bars that say again what earlier bars said, ``steps`` higher or lower.

    ``is_real`` says that the copy keeps the exact intervals.
    """

    bar: int
    model_bar: int
    bars: int
    steps: int
    is_real: bool

    def describe(self) -> str:
        """Say the repeat in words."""
        what, model = (_name_bars(first, self.bars) for first in (self.bar, self.model_bar))
        if self.steps == 0:
            return f"{what} repeat {model}" if self.bars > 1 else f"{what} repeats {model}"
        way = "higher" if self.steps > 0 else "lower"
        kind = "exactly" if self.is_real else "in the key"
        size = abs(self.steps)
        count = "a step" if size == 1 else f"{_COUNTS.get(size, str(size))} steps"
        verb = "are" if self.bars > 1 else "is"
        return f"{what} {verb} {model} {count} {way}, {kind}"


def _name_bars(first: int, count: int) -> str:
    return f"bar {first}" if count == 1 else f"bars {first}-{first + count - 1}"


@dataclass(frozen=True, slots=True)
class Portrait:
    """What can be said of a theme by looking at it.

    ``lowest``/``highest`` bound its range and ``climax_bar`` is where the highest
    note first comes; ``intervals`` counts melodic intervals by name, upward and
    downward together; ``contour`` is the height of each bar's middle in staff
    steps above the lowest note; ``implied`` names for each bar the triad of the
    key that holds most of it, and the share of the bar it holds (empty without a key).
    """

    lowest: Pitch
    highest: Pitch
    climax_bar: int
    intervals: tuple[tuple[str, int], ...]
    contour: tuple[float, ...]
    repeats: tuple[Repeat, ...]
    implied: tuple[tuple[int, PitchName, float], ...]
    outside: tuple[PitchName, ...]


def describe_theme(theme: Theme) -> Portrait:
    """Look at a theme and say what is there."""
    notes = theme.line.sounding
    pitches = [note.pitch for note in notes if note.pitch is not None]
    lowest = min(pitches, key=lambda pitch: pitch.midi)
    highest = max(pitches, key=lambda pitch: pitch.midi)
    climax = next(note for note in notes if note.pitch == highest)
    sizes = Counter(
        Interval.between(low, high).name.lstrip("-") for low, high in itertools.pairwise(pitches)
    )
    key = key_or_none(theme)
    scale = set(key.scale) if key else {pitch.name for pitch in pitches}
    outside = dict.fromkeys(pitch.name for pitch in pitches if pitch.name not in scale)
    return Portrait(
        lowest,
        highest,
        theme.meters.locate(climax.onset)[0],
        tuple(sizes.most_common()),
        _contour(theme, lowest),
        find_repeats(theme),
        _implied_triads(theme),
        tuple(outside),
    )


def bars_with_notes(theme: Theme) -> tuple[int, ...]:
    """Give the numbers of the bars in which something sounds."""
    return tuple(bar for bar in theme.meters.bars_through(theme.line.end) if _shares(theme, bar))


def _contour(theme: Theme, lowest: Pitch) -> tuple[float, ...]:
    heights = []
    for bar in theme.meters.bars_through(theme.line.end):
        shares = _shares(theme, bar)
        total = sum(length for _, length in shares)
        if total:
            mean = sum(p.staff_step * float(length) for p, length in shares) / float(total)
            heights.append(round(mean - lowest.staff_step, 2))
    return tuple(heights)


def _shares(theme: Theme, bar: int) -> list[tuple[Pitch, Fraction]]:
    """Give each pitch sounding in a bar with how long it does."""
    start = theme.meters.bar_start(bar)
    end = start + theme.meters.bar_length(bar)
    return [
        (note.pitch, min(note.end, end) - max(note.onset, start))
        for note in theme.line.sounding
        if note.pitch is not None and note.onset < end and note.end > start
    ]


def _implied_triads(theme: Theme) -> tuple[tuple[int, PitchName, float], ...]:
    key = key_or_none(theme)
    if key is None:
        return ()
    implied = []
    for bar in theme.meters.bars_through(theme.line.end):
        shares = _shares(theme, bar)
        total = sum((length for _, length in shares), Fraction(0))
        if not total:
            continue
        held = {n: (_time_in_triad(key, n, shares), n in (1, 4, 5)) for n in range(1, 8)}
        # Of triads that hold as much, those of the first, fourth and fifth degrees.
        best, (longest, _) = max(held.items(), key=lambda one: one[1])
        implied.append((bar, key.degree(best), float(longest / total)))
    return tuple(implied)


def _time_in_triad(key: Key, degree: int, shares: Sequence[tuple[Pitch, Fraction]]) -> Fraction:
    """How long the notes of a triad of the key sound."""
    triad = {key.degree((degree - 1 + third) % 7 + 1) for third in (0, 2, 4)}
    return sum((length for pitch, length in shares if pitch.name in triad), Fraction(0))


def find_repeats(theme: Theme) -> tuple[Repeat, ...]:
    """Find the bars that repeat earlier bars, at any height, longest stretches first told.

    A bar repeats another where rhythm and steps agree note for note; stretches of
    bars moved by as much are joined.
    """
    bars = {bar: _shape(theme, bar) for bar in theme.meters.bars_through(theme.line.end) if bar > 0}
    found: list[Repeat] = []
    covered: set[int] = set()
    for bar in bars:
        if bar in covered:
            continue
        best: Repeat | None = None
        for model in range(1, bar):
            stretch = _stretch_from(bars, model, bar)
            if stretch and (best is None or stretch[0] > best.bars):
                best = Repeat(bar, model, *stretch)
        if best:
            found.append(best)
            covered.update(range(bar, bar + best.bars))
    return tuple(found)


def _stretch_from(
    bars: dict[int, tuple[tuple[Fraction, Fraction, Pitch], ...]], model: int, bar: int
) -> tuple[int, int, bool] | None:
    """Give (bars, steps, is_real) of the repeat that begins at two bars, or None."""
    count, steps, is_real = 0, 0, True
    semitones: set[int] = set()
    while bar + count in bars and model + count < bar:
        one, two = bars[model + count], bars[bar + count]
        if not one or [n[:2] for n in one] != [n[:2] for n in two]:
            break
        moves = {b[2].staff_step - a[2].staff_step for a, b in zip(one, two, strict=True)}
        if len(moves) != 1 or (count and moves != {steps}):
            break
        steps = moves.pop()
        semitones |= {b[2].midi - a[2].midi for a, b in zip(one, two, strict=True)}
        count += 1
    is_real = len(semitones) == 1
    return (count, steps, is_real) if count else None


def _shape(theme: Theme, bar: int) -> tuple[tuple[Fraction, Fraction, Pitch], ...]:
    start = theme.meters.bar_start(bar)
    end = start + theme.meters.bar_length(bar)
    return tuple(
        (note.onset - start, note.duration, note.pitch)
        for note in theme.line.sounding
        if note.pitch is not None and start <= note.onset < end
    )
