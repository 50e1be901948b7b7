"""Where the phrases of a melody end, which begin alike, and which bars move by sequence."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.pitch.meter import MeterMap
from harmony.pitch.note import Note

_LONGEST_PHRASE_BARS = 6


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase: times in quarters, and which notes (first and last index) belong to it."""

    start: Fraction
    end: Fraction
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class MelodicSequence:
    """A model and its copies: the bars of the model, and each copy's first bar and shift.

    ``steps`` are letters up (below 0: down); ``is_real`` says that every copy keeps
    the semitones too. ``starts`` are times in quarters, the model's first.
    """

    starts: tuple[Fraction, ...]
    length: Fraction
    steps: tuple[int, ...]
    semitones: tuple[int, ...]
    is_real: bool


@dataclass(frozen=True, slots=True)
class Parallel:
    """Two phrases that begin alike: when each begins, and for how long they agree."""

    first: Fraction
    again: Fraction
    length: Fraction


def find_phrase_ends(notes: Sequence[Note], meters: MeterMap) -> tuple[Fraction, ...]:
    """Find where phrases end, in quarters.

    A phrase ends before a rest, or on a note clearly longer than those around it
    that closes a bar's worth of music; never twice within two bars (common
    practice). The melody's end is always one.
    """
    end = notes[-1].end
    usual = sorted(note.duration for note in notes)[len(notes) // 2]
    found: list[Fraction] = []
    since = notes[0].onset
    bar = meters.bar_length(1)
    for note, after in itertools.pairwise(notes):
        rest = after.onset > note.end
        place = meters.locate(note.onset)[0]
        long = note.duration >= max(2 * usual, bar / 2) and note.duration > after.duration
        fills = note.duration >= bar and note.duration >= 2 * usual
        passed = note.end - since
        if passed < 2 * bar - meters.pickup or end - note.end < bar:
            continue
        whole_group = (place - 1) % 2 == 1 or place % 4 == 0
        if rest or fills or (long and (whole_group or passed >= 4 * bar - meters.pickup)):
            found.append(note.end)
            since = after.onset
    return (*found, end)


def cut_phrases(notes: Sequence[Note], ends: Sequence[Fraction]) -> tuple[Phrase, ...]:
    """Cut a melody into phrases at the times ``ends``; the last runs to its end."""
    phrases = []
    first = 0
    for index, note in enumerate(notes):
        is_last = index == len(notes) - 1
        if is_last or any(note.onset < end <= notes[index + 1].onset for end in ends):
            phrases.append(Phrase(notes[first].onset, note.end, first, index))
            first = index + 1
    return tuple(phrases)


def find_sequences(notes: Sequence[Note], meters: MeterMap) -> tuple[MelodicSequence, ...]:
    """Find models and copies of one or two bars, or four, that follow each other.

    A copy has the model's rhythm and its letters, moved; a repetition on the same
    step is no sequence.
    """
    found: list[MelodicSequence] = []
    bars = meters.bars_through(notes[-1].end)
    taken: set[int] = set()
    for size in (4, 2, 1):
        number = max(bars.start, 1)
        while number + 2 * size <= bars.stop:
            starts = [number]
            while starts[-1] + 2 * size <= bars.stop and _shift(
                notes, meters, starts[0], starts[-1] + size, size
            ):
                starts.append(starts[-1] + size)
            if len(starts) > 1 and not taken & set(range(number, starts[-1] + size)):
                shifts = [_shift(notes, meters, number, other, size) for other in starts[1:]]
                moves = [shift for shift in shifts if shift is not None]
                found.append(
                    MelodicSequence(
                        tuple(meters.bar_start(bar) for bar in starts),
                        meters.bar_start(number + size) - meters.bar_start(number),
                        (0, *(move[0] for move in moves)),
                        (0, *(move[1] for move in moves)),
                        all(move[2] for move in moves),
                    )
                )
                taken |= set(range(number, starts[-1] + size))
                number = starts[-1] + size
            else:
                number += 1
    return tuple(sorted(found, key=lambda one: one.starts))


def _shift(
    notes: Sequence[Note], meters: MeterMap, first: int, other: int, size: int
) -> tuple[int, int, bool] | None:
    """By how many letters and semitones bars copy others; None where they do not."""
    model = _bars(notes, meters, first, size)
    copy = _bars(notes, meters, other, size)
    if len(model) < 2 or len(model) != len(copy):
        return None
    steps, semitones = set(), []
    for (at, length, a), (when, lasts, b) in zip(model, copy, strict=True):
        if at != when or length != lasts or a.pitch is None or b.pitch is None:
            return None
        steps.add(b.pitch.staff_step - a.pitch.staff_step)
        semitones.append(b.pitch.midi - a.pitch.midi)
    if len(steps) != 1 or steps == {0}:
        return None
    return steps.pop(), semitones[0], len(set(semitones)) == 1


def _bars(
    notes: Sequence[Note], meters: MeterMap, first: int, size: int
) -> list[tuple[Fraction, Fraction, Note]]:
    start, stop = meters.bar_start(first), meters.bar_start(first + size)
    return [
        (note.onset - start, min(note.end, stop) - note.onset, note)
        for note in notes
        if start <= note.onset < stop
    ]


def find_parallels(notes: Sequence[Note], phrases: Sequence[Phrase]) -> tuple[Parallel, ...]:
    """Find phrases that begin with the same notes in the same rhythm as an earlier one.

    At least three notes must agree.
    """
    found = []
    for later in range(1, len(phrases)):
        for earlier in range(later):
            one, two = phrases[earlier], phrases[later]
            agreed = 0
            while (
                one.first + agreed <= one.last
                and two.first + agreed <= two.last
                and _alike(notes[one.first + agreed], one, notes[two.first + agreed], two)
            ):
                agreed += 1
            if agreed >= 3:
                stop = notes[two.first + agreed - 1].end
                found.append(Parallel(one.start, two.start, stop - two.start))
                break
    return tuple(found)


def _alike(a: Note, one: Phrase, b: Note, two: Phrase) -> bool:
    return (
        a.pitch == b.pitch
        and a.onset - one.start == b.onset - two.start
        and a.duration == b.duration
    )
