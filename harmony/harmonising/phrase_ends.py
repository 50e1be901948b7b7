"""Where the phrases of a tune that moves in beats end, by how Bach's chorales phrase.

A phrase is followed from its first note; how likely each note is to be its last
is read off a table of small facts: the phrase's length, the note's own length and
beat, the way in and out of it, what begins after it.  Of all ways to cut the tune
the likeliest is found exactly, phrase by phrase (Bellman's recursion).  The table is
rebuilt by ``harmony/learning/fit_phrase_ends.py``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.contexts import clip
from harmony.pitch.meter import MeterMap
from harmony.pitch.note import Note
from harmony.tables import read_rows

FloatArray = NDArray[np.float64]

TABLE = "learnt/phrase_ends.csv"
BARS = (3, 4)
"""Beats in the bars of the chorales; tunes in other bars are not cut by this table."""
_SHORTEST, _LONGEST = 3, 26  # beats in a phrase
_EPS = 1e-6

Fact = str
Table = Mapping[Fact, float]


@dataclass(frozen=True, slots=True)
class BeatTune:
    """A tune counted in beats: when each note begins and stops, its MIDI number, its beat.

    ``places`` are beats in the bar from 0 at which notes begin; ``bar`` is the length
    of the first whole bar in beats, 3 or 4.
    """

    onsets: tuple[float, ...]
    ends: tuple[float, ...]
    pitches: tuple[int, ...]
    places: tuple[float, ...]
    bar: int

    def __len__(self) -> int:
        return len(self.onsets)

    def length(self, index: int) -> float:
        """How many beats a note lasts."""
        return self.ends[index] - self.onsets[index]

    def can_end(self, start: int, index: int) -> bool:
        """Whether a phrase from note ``start`` may end with a note."""
        beats = self.ends[index] - self.onsets[start]
        if index == len(self) - 1:
            return beats <= _LONGEST
        after = self.onsets[index + 1]
        cuts = abs(after - round(after)) < _EPS or after > self.ends[index] + _EPS
        return cuts and _SHORTEST - _EPS <= beats <= _LONGEST


def count_in_beats(notes: Sequence[Note], meters: MeterMap) -> BeatTune | None:
    """Count a tune in beats; None where it does not move in them, or in other bars."""
    meter = meters.meter_at(1)
    beat = meter.beats_quarters[0]
    usual = sorted(note.duration for note in notes)[len(notes) // 2]
    bar = meter.bar_quarters / beat
    if usual != beat or bar not in BARS:
        return None
    return BeatTune(
        tuple(float(note.onset / beat) for note in notes),
        tuple(float(note.end / beat) for note in notes),
        tuple(note.pitch.midi if note.pitch is not None else 0 for note in notes),
        tuple(float(meters.locate(note.onset)[1]) - 1 for note in notes),
        int(bar),
    )


def describe_end(tune: BeatTune, index: int) -> list[Fact]:
    """What is known of a note as the last of a phrase, whatever the phrase."""
    bar, length = tune.bar, tune.length(index)
    last = index == len(tune) - 1
    rests = not last and tune.onsets[index + 1] > tune.ends[index] + _EPS
    on = round(tune.places[index] * 2) % (2 * bar)
    facts = [
        f"note {bar} {_length_class(length)} {'rest' if rests else 'on'}",
        f"beat {bar} {on} {'long' if length > 1 else 'short'}",
    ]
    if last:
        return [*facts, "last"]
    into = tune.pitches[index] - tune.pitches[index - 1] if index else 9
    out = tune.pitches[index + 1] - tune.pitches[index]
    after, before = tune.length(index + 1), tune.length(index - 1) if index else length
    left = tune.ends[-1] - tune.ends[index]
    left_over = int(left) if left <= 12 else f"more {int(left) % bar}"
    upbeat = round((tune.places[index + 1] - tune.places[0]) * 2) % (2 * bar)
    return [
        *facts,
        f"upbeat {bar} {upbeat}",
        f"into {clip(into, -6, 6) if index else 'first'}",
        f"out {clip(out, -8, 8)}",
        f"longer {_sign(length - after)} {_sign(length - before)}",
        f"above final {(tune.pitches[index] - tune.pitches[-1]) % 12}",
        f"returns {_returning(tune, index + 1)}",
        f"left {bar} {left_over}",
        f"next {_length_class(after)}",
    ]


def describe_phrase(tune: BeatTune, start: int, index: int, within: int) -> list[Fact]:
    """What is known of a phrase by its length and the long notes ``within`` it."""
    beats = round(tune.ends[index] - tune.onsets[start])
    ends_long = "long" if tune.length(index) >= 2 else "short"
    return [f"length {tune.bar} {beats}", f"long notes {min(within, 2)} {ends_long}"]


def describe_pair(bar: int, *, is_equal: bool) -> Fact:
    """Whether a phrase is as long as the one before."""
    return f"equal {bar} {'yes' if is_equal else 'no'}"


def count_long(tune: BeatTune, start: int, index: int) -> int:
    """How many notes of two beats and more stand in a phrase, its last included."""
    return sum(tune.length(place) >= 2 for place in range(start, index + 1))


def _length_class(length: float) -> str:
    if length in (1, 2, 3):
        return str(int(length))
    return "below 1" if length < 1 else f"above {min(int(length), 4)}"


def _sign(value: float) -> str:
    return "more" if value > _EPS else "less" if value < -_EPS else "same"


def _returning(tune: BeatTune, start: int) -> int:
    """How many notes from ``start`` on are those the tune begins with, 5 at most."""
    same = 0
    while (
        same < 5 and start + same < len(tune) and tune.pitches[same] == tune.pitches[start + same]
    ):
        same += 1
    return same


@cache
def _load() -> dict[Fact, float]:
    return dict(read_rows(TABLE, lambda row: (row["fact"], int(row["weight"]) / 100)))


def cut_in_beats(tune: BeatTune, table: Table | None = None) -> list[int]:
    """Give the last notes of the phrases of a tune, the last note of all included.

    ``table`` gives the weights of facts, those that ship if left out. Where no cut
    fits the lengths of phrases only the last note is given.
    """
    known = _load() if table is None else table
    bar, count = tune.bar, len(tune)
    alone = [sum(known.get(fact, 0.0) for fact in describe_end(tune, i)) for i in range(count)]
    same, other = (
        known.get(describe_pair(bar, is_equal=is_equal), 0.0) for is_equal in (True, False)
    )
    # ways[i]: the phrases that may end with note i as {start: (rating, the start before)}.
    ways: list[dict[int, tuple[float, int]]] = [{} for _ in range(count)]
    for start in range(count):
        before = ways[start - 1] if start else {0: (0.0, 0)}
        if not before:
            continue
        open_ = [
            i for i in range(start, min(count, start + 4 * _LONGEST)) if tune.can_end(start, i)
        ]
        if not open_:
            continue
        rated = np.array([
            alone[i] + sum(known.get(fact, 0.0) for fact in
                           describe_phrase(tune, start, i, count_long(tune, start, i)))
            for i in open_
        ])  # fmt: skip
        lengths = np.array([tune.ends[i] - tune.onsets[start] for i in open_])
        starts = list(before)
        rows = np.tile(rated, (len(starts), 1))
        if start:
            earlier = np.array([tune.ends[start - 1] - tune.onsets[first] for first in starts])
            rows += np.where(np.abs(earlier[:, None] - lengths) < _EPS, same, other)
        rows -= _log_of_sum(rows)[:, None]
        rows += np.array([before[first][0] for first in starts])[:, None]
        best = rows.argmax(axis=0)
        for place, end in enumerate(open_):
            ways[end][start] = (float(rows[best[place], place]), starts[best[place]])
    if not ways[-1]:
        return [count - 1]
    start, end = max(ways[-1], key=lambda first: ways[-1][first][0]), count - 1
    found = [end]
    while start:
        start, end = ways[end][start][1], start - 1
        found.append(end)
    return found[::-1]


def _log_of_sum(rows: FloatArray) -> FloatArray:
    top = rows.max(axis=1)
    total: FloatArray = top + np.log(np.exp(rows - top[:, None]).sum(axis=1))
    return total
