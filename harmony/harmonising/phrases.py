"""Where the phrases of a melody end, which begin alike, and which bars move by sequence."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.harmonising.phrase_ends import count_in_beats, cut_in_beats
from harmony.pitch.meter import MeterMap
from harmony.pitch.note import Note

ByBar = dict[int, list[Note]]
_REGULAR_ENOUGH = 0.9


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


def find_phrase_ends(
    notes: Sequence[Note], meters: MeterMap, *, is_slow: bool = False
) -> tuple[Fraction, ...]:
    """Find where phrases end, in quarters.

    A tune that moves in beats in bars of three or four, and is not slow, is cut as the
    chorales are phrased (see :mod:`harmony.harmonising.phrase_ends`). In others a phrase
    ends before a rest, or on a note clearly longer than those around it that closes a
    bar's worth of music; never twice within two bars (common practice). The melody's end
    is always one.
    """
    end = notes[-1].end
    in_beats = None if is_slow else count_in_beats(notes, meters)
    if in_beats is not None:
        return tuple(notes[place].end for place in cut_in_beats(in_beats))
    usual = sorted(note.duration for note in notes)[len(notes) // 2]
    found: list[Fraction] = []
    since = notes[0].onset
    again = _returns(notes, meters)
    if usual == meters.meter_at(1).beats_quarters[0]:
        regular = _find_regular(notes, meters, usual)
        if regular:
            return (*regular, end)
    bar = meters.bar_length(1)
    for note, after in itertools.pairwise(notes):
        rest = after.onset > note.end
        place = meters.locate(note.onset)[0]
        long = note.duration >= max(2 * usual, bar / 2) and note.duration > after.duration
        fills = note.duration >= bar and note.duration > usual
        passed = note.end - since
        if passed < 2 * bar - meters.pickup or end - note.end < bar:
            continue
        whole_group = (place - 1) % 2 == 1 or place % 4 == 0
        if (
            after.onset in again
            or rest
            or fills
            or (long and (whole_group or passed >= 4 * bar - meters.pickup))
        ):
            found.append(note.end)
            since = after.onset
    return (*found, end)


def _find_regular(notes: Sequence[Note], meters: MeterMap, usual: Fraction) -> tuple[Fraction, ...]:
    """Ends of phrases of equal length in a tune that moves in beats; none where they do not fit.

    Two, three or four bars are tried from the first note on; a good end falls
    between notes, best after a long one. Set on the chorales of the fitting set:
    seven ends of ten are right, and two of three are found.
    """
    bar, start, end = meters.bar_length(1), notes[0].onset, notes[-1].end
    lengths = {note.end: note.duration for note in notes}
    onsets = {note.onset for note in notes}
    best = _REGULAR_ENOUGH
    found: tuple[Fraction, ...] = ()
    for bars in (2, 3, 4):
        count = int((end - bar / 2 - start) / (bars * bar))
        ends = [start + number * bars * bar for number in range(1, count + 1)]
        if not ends:
            continue
        rated = [
            (1.0 + (lengths.get(at, 0) > usual) - 0.5 * (lengths.get(at, 0) < usual))
            * (at in onsets)
            for at in ends
        ]
        score = sum(rated) / len(rated) - 0.12 * (bars - 2)
        if score >= best:
            best, found = score, tuple(at for at in ends if at in onsets)
    return found


def _returns(notes: Sequence[Note], meters: MeterMap) -> set[Fraction]:
    """Bar lines at which the tune's first bar and a half come again note for note."""
    inside = _notes_by_bar(notes, meters)
    opening = inside.get(1, [])
    found: set[Fraction] = set()
    for bar in range(3, meters.bars_through(notes[-1].end).stop):
        here = inside.get(bar, [])
        start = meters.bar_start(bar) - meters.bar_start(1)
        same = len(here) == len(opening) > 1 and all(
            a.pitch == b.pitch and a.onset + start == b.onset
            for a, b in zip(opening, here, strict=True)
        )
        following, model = inside.get(bar + 1, []), inside.get(2, [])
        if same and following and model and following[0].pitch == model[0].pitch:
            found.add(here[0].onset)
    return found


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
    """Find models and copies: bars that come again on other steps within eight bars.

    A copy has the model's rhythm and its letters, moved; a repetition on the same
    step is no sequence. A single bar counts if its copy is at most two bars on.
    Copies that follow one another at one distance make one sequence.
    """
    inside = _notes_by_bar(notes, meters)
    bars = meters.bars_through(notes[-1].end)
    runs = []
    for first in range(max(bars.start, 1), bars.stop):
        for other in range(first + 1, min(first + 9, bars.stop)):
            start = _shift(inside, meters, first, other, 1)
            size = 1
            while (
                start is not None
                and first + size < other
                and other + size < bars.stop
                and (more := _shift(inside, meters, first + size, other + size, 1)) is not None
                and more[0] == start[0]
            ):
                size += 1
            if start is not None and (size > 1 or other - first <= 2):
                runs.append((size, first, other))
    taken: set[int] = set()
    found: dict[tuple[int, int], list[int]] = {}
    for size, first, other in sorted(runs, key=lambda run: (-run[0], run[2] - run[1], run[1])):
        copied = set(range(other, other + size))
        if copied & taken:
            continue
        taken |= copied
        series = next(
            (key for key, starts in found.items() if key[1] == size and starts[-1] == first), None
        )
        if series is None:
            found[first, size] = [first, other]
        else:
            found[series].append(other)
    sequences = [_build(inside, meters, starts, size) for (_, size), starts in found.items()]
    return tuple(sorted(sequences, key=lambda one: one.starts))


def copy_bars(
    notes: Sequence[Note], meters: MeterMap, starts: Sequence[int], size: int
) -> MelodicSequence:
    """Give the sequence of ``size`` bars whose model and copies begin with the bars ``starts``.

    Raises
    ------
    HarmonyError
        Where a stretch does not copy the first: the same rhythm, the letters moved.
    """
    inside = _notes_by_bar(notes, meters)
    model = _name_bars(starts[0], size)
    for start in starts[1:]:
        if _shift(inside, meters, starts[0], start, size) is None:
            raise HarmonyError(
                f"{_name_bars(start, size)} do not copy {model.lower()}: a copy has the same"
                " rhythm and the same letters, moved."
            )
    return _build(inside, meters, starts, size)


def _name_bars(start: int, size: int) -> str:
    return f"The notes of bar {start}" if size == 1 else f"Bars {start} to {start + size - 1}"


def _build(inside: ByBar, meters: MeterMap, starts: Sequence[int], size: int) -> MelodicSequence:
    # A later copy may come home to the model's own step, which is no shift.
    shifts = [_shift(inside, meters, starts[0], other, size) for other in starts[1:]]
    known = [shift or (0, 0, True) for shift in shifts]
    return MelodicSequence(
        tuple(meters.bar_start(bar) for bar in starts),
        meters.bar_start(starts[0] + size) - meters.bar_start(starts[0]),
        (0, *(move[0] for move in known)),
        (0, *(move[1] for move in known)),
        all(move[2] for move in known),
    )


def _notes_by_bar(notes: Sequence[Note], meters: MeterMap) -> ByBar:
    inside: ByBar = {}
    for note in notes:
        inside.setdefault(meters.locate(note.onset)[0], []).append(note)
    return inside


def _shift(
    inside: ByBar, meters: MeterMap, first: int, other: int, size: int
) -> tuple[int, int, bool] | None:
    """By how many letters and semitones bars copy others; None where they do not."""
    model = _bars(inside, meters, first, size)
    copy = _bars(inside, meters, other, size)
    if len(model) < 2 or len(model) != len(copy):
        return None
    start, again = meters.bar_start(first), meters.bar_start(other)
    steps, semitones = set(), []
    for a, b in zip(model, copy, strict=True):
        if a.onset - start != b.onset - again or a.pitch is None or b.pitch is None:
            return None
        # The last note may ring on into the next bar without making another figure.
        if a is not model[-1] and a.duration != b.duration:
            return None
        steps.add(b.pitch.staff_step - a.pitch.staff_step)
        semitones.append(b.pitch.midi - a.pitch.midi)
    if len(steps) != 1 or steps == {0}:
        return None
    return steps.pop(), semitones[0], len(set(semitones)) == 1


def _bars(inside: ByBar, meters: MeterMap, first: int, size: int) -> list[Note]:
    if any(meters.meter_at(first + n) != meters.meter_at(first) for n in range(size)):
        return []
    return [note for bar in range(first, first + size) for note in inside.get(bar, ())]


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
