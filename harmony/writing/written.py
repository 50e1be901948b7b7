"""From what sounds to what a player reads: transposition, signatures, accidentals, ids."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from harmony.pitch.interval import UNISON, Interval, transpose
from harmony.pitch.spelling import LETTERS_BY_FIFTHS, Pitch, PitchName
from harmony.scoring.layout import Written
from harmony.scoring.part import Part
from harmony.scoring.score import Score
from harmony.scoring.timeline import Timeline

MOST_SIGNS = 7  # a signature with more sharps or flats is respelled
MOST_ACCIDENTALS = 2  # players read no triple sharps or flats
_DIMINISHED_SECOND = Interval(1, 0)
_ID = re.compile(r"[A-Za-z_][A-Za-z0-9_-]*")


@dataclass(frozen=True, slots=True)
class Reading:
    """How a part reads from a tick on: its signature, and sounding minus written."""

    tick: int
    fifths: int
    mode: str
    transposition: Interval


def is_octave(interval: Interval) -> bool:
    """True for a unison or whole octaves."""
    return interval.steps % 7 == 0 and interval.semitones % 12 == 0


def plan_readings(
    score: Score, part: Part, timeline: Timeline, *, concert: bool
) -> tuple[Reading, ...]:
    """Give the signatures a part reads, the first at 0.

    In a concert score only octave transpositions stay, as is the custom for
    piccolo, double bass and their like. Where a transposed signature would have
    more than seven sharps or flats the part is respelled by a diminished second.
    """
    moved = part.transposition
    if concert and not is_octave(moved):
        moved = UNISON
    shift = transpose(PitchName("C"), moved).fifths
    readings = []
    changes = [
        (timeline.ticks(change.onset), change.key.fifths, change.key.mode) for change in score.keys
    ]
    if not changes or changes[0][0] > 0:
        changes.insert(0, (0, 0, "none"))
    for tick, fifths, mode in changes:
        written, interval = fifths - shift, moved
        while written > MOST_SIGNS and abs(written - 12) < written:
            written, interval = written - 12, interval + -_DIMINISHED_SECOND
        while written < -MOST_SIGNS and abs(written + 12) < -written:
            written, interval = written + 12, interval + _DIMINISHED_SECOND
        readings.append(Reading(tick, written, mode, interval))
    return tuple(readings)


def reading_at(readings: Sequence[Reading], tick: int) -> Reading:
    """Give the reading in force at a time."""
    found = readings[0]
    for reading in readings[1:]:
        if reading.tick > tick:
            break
        found = reading
    return found


def signature_alters(fifths: int) -> dict[str, int]:
    """Give the alteration of each letter under a signature.

    >>> signature_alters(-2)["B"], signature_alters(-2)["A"]
    (-1, 0)
    """
    alters = dict.fromkeys(LETTERS_BY_FIFTHS, 0)
    for step in range(abs(fifths)):
        letter = LETTERS_BY_FIFTHS[step % 7 if fifths > 0 else 6 - step % 7]
        alters[letter] += 1 if fifths > 0 else -1
    return alters


class AccidentalState:
    """What is in force on one staff in one bar; accidentals hold to the bar line."""

    __slots__ = ("_held", "_signature")

    def __init__(self, fifths: int) -> None:
        self._signature = signature_alters(fifths)
        self._held: dict[int, int] = {}

    def change_signature(self, fifths: int) -> None:
        """Begin again under another signature."""
        self._signature = signature_alters(fifths)
        self._held.clear()

    def shows(self, pitch: Pitch, *, is_tied_over: bool = False) -> bool:
        """Say whether a written pitch needs its sign, and hold it if so.

        A note tied over a bar line needs none.
        """
        step = pitch.staff_step
        if pitch.alter == self._held.get(step, self._signature[pitch.letter]) or is_tied_over:
            return False
        self._held[step] = pitch.alter
        return True


def write_pitch(pitch: Pitch, transposition: Interval, chord: Sequence[Pitch] = ()) -> Pitch:
    """Give the pitch to write for one that sounds, alone or in a ``chord``.

    Where transposing would give a player more than a double sharp or flat, the
    note takes the letter beside it; where it would so share its line with another
    letter of its chord, the one with more signs moves on.
    """
    if transposition.steps == 0 and transposition.semitones == 0:
        return pitch
    written = _write_alone(pitch, transposition)
    for other in chord if len(chord) > 1 else ():
        if other.staff_step == pitch.staff_step:
            continue
        beside = _write_alone(other, transposition)
        if beside.staff_step == written.staff_step and abs(beside.alter) < abs(written.alter):
            return transpose(
                written, _DIMINISHED_SECOND if written.alter > 0 else -_DIMINISHED_SECOND
            )
    return written


def _write_alone(pitch: Pitch, transposition: Interval) -> Pitch:
    written = transpose(pitch, -transposition)
    while written.alter > MOST_ACCIDENTALS >= pitch.alter:
        written = transpose(written, _DIMINISHED_SECOND)
    while written.alter < -MOST_ACCIDENTALS <= pitch.alter:
        written = transpose(written, -_DIMINISHED_SECOND)
    return written


def ties_of(written: Written) -> tuple[tuple[bool, bool], ...]:
    """Say for each pitch of a written note whether a tie ends and begins on it."""
    event = written.event
    assert event is not None
    inner_stop, inner_start = written.piece > 0, not written.is_last
    ties: Iterable[str | None] = event.ties or (None,) * len(event.pitches)
    return tuple(
        (
            inner_stop or tie in ("stop", "continue"),
            inner_start or tie in ("start", "continue"),
        )
        for tie in ties
    )


def find_accidentals(
    voices: Mapping[int, Sequence[Written]], bar_tick: int, readings: Sequence[Reading]
) -> set[tuple[int, int]]:
    """Find the notes of a staff's bar that need a sign: (id() of the written note, pitch index)."""
    reading = reading_at(readings, bar_tick)
    state = AccidentalState(reading.fifths)
    found: set[tuple[int, int]] = set()
    in_order = (
        voices[next(iter(voices))]
        if len(voices) == 1
        else sorted(
            (written for voice in voices.values() for written in voice),
            key=lambda written: written.offset,
        )
    )
    for written in in_order:
        if written.event is None or not written.event.pitches:
            continue
        if len(readings) > 1:
            now = reading_at(readings, bar_tick + written.offset)
            if now is not reading:
                reading = now
                state.change_signature(now.fifths)
        ties = ties_of(written)
        pitches = written.event.pitches
        for index, pitch in enumerate(pitches):
            over_bar = ties[index][0] and written.offset == 0
            if state.shows(
                write_pitch(pitch, reading.transposition, pitches), is_tied_over=over_bar
            ):
                found.add((id(written), index))
    return found


class IdGiver:
    """Gives each written note an id that is used once and leads back to its event."""

    __slots__ = ("_counts", "_prefix")

    def __init__(self, prefix: str) -> None:
        self._prefix = prefix
        self._counts: dict[str, int] = {}

    def give(self, event_id: str) -> str:
        """Give the event's id, or with a full stop and a number when it is taken."""
        base = event_id if _ID.fullmatch(event_id) else self._prefix
        count = self._counts[base] = self._counts.get(base, 0) + 1
        return base if count == 1 else f"{base}.{count}"
