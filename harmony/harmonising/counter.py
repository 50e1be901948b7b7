"""A counter-melody to a tune: it moves where the tune rests and peaks where the tune does not."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.lines import MELODY
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme

FloatArray = NDArray[np.float64]

_LOWEST, _HIGHEST = 53, 79  # its register: F3 to G5
_MOVES = {0: 1.2, 1: 0.0, 2: 0.0, 3: 0.5, 4: 0.6, 5: 1.0}
_HELD = 0.1  # staying on a note while the tune moves


@dataclass(frozen=True, slots=True)
class _Place:
    """A time at which the line may take a note: until when, which, under what of the tune."""

    start: Fraction
    end: Fraction
    options: tuple[Pitch, ...]
    above: Note | None
    last_above: Note | None
    is_tune_moving: bool
    is_climax: bool


@dataclass(frozen=True, slots=True)
class CounterCheck:
    """What a counter-melody is held to.

    ``share_between`` is the share of its notes that begin while the tune holds or
    rests; ``tune_peak`` and ``own_peak`` are when the two lines reach their highest
    note; ``contrary`` is the share of moves made together that go opposite ways.
    """

    share_between: float
    tune_peak: Fraction
    own_peak: Fraction
    contrary: float

    @property
    def peaks_apart(self) -> bool:
        """True where the two lines do not reach their highest notes together."""
        return self.tune_peak != self.own_peak


def write_counter_melody(one: Harmonisation) -> Theme:
    """Write a line under the tune in notes of the chords.

    It takes a new note where the chord changes and on beats the tune holds through,
    and holds on where the tune moves if its note belongs to the chord. It moves by
    step where it can, against the tune, never in consecutive fifths or octaves with
    it, and reaches its highest note once the tune is off its own. The line is the
    cheapest of all such lines.

    Raises
    ------
    NoSolutionError
        Where the tune leaves no room for a line with a peak of its own.
    """
    theme = one.theme
    places = _list_places(one)
    steps = [_step_costs(a, b) for a, b in itertools.pairwise(places)]
    best: tuple[float, list[int]] | None = None
    for peak in range(_LOWEST + 7, _HIGHEST + 1):
        found = _search(places, steps, peak)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        raise NoSolutionError(
            "No counter-melody fits under this tune with a highest note of its own; move the tune"
            " up or choose another harmonisation.",
            rule="counter-melody",
        )
    chosen = [place.options[number] for place, number in zip(places, best[1], strict=True)]
    notes: list[Note] = []
    for place, pitch in zip(places, chosen, strict=True):
        last = notes[-1] if notes else None
        if last is not None and last.pitch == pitch and last.end == place.start and (
            place.is_tune_moving
        ):  # fmt: skip
            notes[-1] = replace(last, duration=place.end - last.onset)
        else:
            notes.append(Note(place.start, place.end - place.start, pitch))
    return replace(
        theme, line=Line(tuple(notes)), title="Counter-melody",
        parent=(theme.source or theme.title, "counter-melody"),
    )  # fmt: skip


def add_counter_melodies(found: Harmonisations) -> Harmonisations:
    """Write a counter-melody to each alternative; a notice says where there is no room for one.

    Raises
    ------
    HarmonyError
        Where the tune is not the melody.
    """
    if found.given.kind != MELODY:
        raise HarmonyError(
            "A counter-melody is written to a melody; leave what is given a melody.",
            where="counter-melody",
        )
    done, notices = [], list(found.notices)
    for number, one in enumerate(found.alternatives, start=1):
        try:
            done.append(replace(one, counter_melody=write_counter_melody(one)))
        except NoSolutionError as fault:
            done.append(one)
            notices.append(f"Under alternative {number}: {fault}")
    return replace(found, alternatives=tuple(done), notices=tuple(notices))


def check_counter_melody(tune: Theme, counter: Theme) -> CounterCheck:
    """Measure a counter-melody against its tune, whoever wrote it."""
    above, below = tune.line.sounding, counter.line.sounding
    onsets = {note.onset for note in above}
    between = sum(note.onset not in onsets for note in below)
    together = contrary = 0
    for a, b in itertools.pairwise(below):
        first, second = _sounding(above, a.onset), _sounding(above, b.onset)
        if first is None or second is None:
            continue
        ours, theirs = _height(b) - _height(a), _height(second) - _height(first)
        if ours and theirs:
            together += 1
            contrary += ours * theirs < 0
    return CounterCheck(
        between / max(1, len(below)),
        max(above, key=lambda n: (_height(n), -n.onset)).onset,
        max(below, key=lambda n: (_height(n), -n.onset)).onset,
        contrary / max(1, together),
    )


def _height(note: Note) -> int:
    return 0 if note.pitch is None else note.pitch.midi


def _sounding(notes: tuple[Note, ...], time: Fraction) -> Note | None:
    return next((n for n in notes if n.onset <= time < n.end), None)


def _list_places(one: Harmonisation) -> list[_Place]:
    tune = one.theme.line.sounding
    meters = one.theme.meters
    onsets = {note.onset for note in tune}
    top = max(_height(note) for note in tune)
    places = []
    for slot in one.progression:
        if slot.chord is None:
            continue
        end = slot.onset + slot.duration
        cuts = {slot.onset}
        for bar in meters.bars_through(end):
            when = meters.bar_start(bar)
            for length in meters.meter_at(bar).beats_quarters:
                if slot.onset < when < end and when not in onsets:
                    cuts.add(when)
                when += length
        options = [
            name.at_midi(midi)
            for name in slot.chord.names
            for midi in range(_LOWEST, _HIGHEST + 1)
            if midi % 12 == name.pitch_class
        ]
        for start, stop in itertools.pairwise([*sorted(cuts), end]):
            inside = [n for n in tune if n.onset < stop and n.end > start]
            ceiling = min((_height(n) for n in inside), default=_HIGHEST + 1)
            fitting = [pitch for pitch in options if pitch.midi < ceiling] or options
            places.append(
                _Place(
                    start,
                    stop,
                    tuple(fitting),
                    _sounding(tune, start),
                    inside[-1] if inside else None,
                    start in onsets,
                    any(_height(n) == top for n in inside),
                )
            )
    return places


def _step_costs(before: _Place, after: _Place) -> FloatArray:
    """What each move of the line costs, (options before, options after)."""
    p = np.array([pitch.midi for pitch in before.options])[:, None]
    q = np.array([pitch.midi for pitch in after.options])[None, :]
    move = q - p
    size = np.abs(move)
    cost: FloatArray = np.select([size == gap for gap in _MOVES], list(_MOVES.values()),
                                 1.5 + 0.2 * size)  # fmt: skip
    if after.is_tune_moving:
        cost = np.where(size == 0, _HELD, cost)
    if before.above is None or after.above is None:
        return cost
    then = _height(after.above)
    # From beat to beat and from the tune's very last note before.
    for above in dict.fromkeys((before.last_above or before.above, before.above)):
        high = _height(above)
        one, two = high - p, then - q
        perfect = (one % 12 == two % 12) & np.isin(one % 12, (0, 7)) & (move != 0) & (high != then)
        cost = cost + 50.0 * perfect
    tune_move = then - _height(before.above)
    closeness: FloatArray = 1.0 * (then - q < 3) + 0.4 * (move * tune_move > 0)
    return cost + closeness


def _search(
    places: list[_Place], steps: list[FloatArray], peak: int
) -> tuple[float, list[int]] | None:
    """The cheapest line whose highest note is ``peak``, sung away from the tune's highest.

    Row 0 of each layer has not reached the peak yet, row 1 has.
    """
    layers = []
    for place in places:
        heights = np.array([pitch.midi for pitch in place.options])
        limit = peak - 1 if place.is_climax else peak
        layers.append((np.where(heights <= limit, 0.0, np.inf), heights == peak))
    ahead = np.stack([np.where(layers[0][1], np.inf, layers[0][0]),
                      np.where(layers[0][1], layers[0][0], np.inf)])  # fmt: skip
    back = []
    for table, (open_, is_peak) in zip(steps, layers[1:], strict=True):
        ways = ahead[:, :, None] + table
        came = ways.argmin(axis=1)
        least = np.take_along_axis(ways, came[:, None, :], axis=1)[:, 0] + open_
        source = (least[1] > least[0]) & is_peak
        back.append((came, source))
        # A peak is touched once or more, never left uncounted.
        ahead = np.stack([np.where(is_peak, np.inf, least[0]),
                          np.where(source, least[0], least[1])])  # fmt: skip
    number = int(ahead[1].argmin())
    value = float(ahead[1, number])
    if not np.isfinite(value):
        return None
    row, path = 1, [number]
    for came, source in reversed(back):
        if row == 1 and source[number]:
            row = 0
        number = int(came[row, number])
        path.append(number)
    return value, path[::-1]
