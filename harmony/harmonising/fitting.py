"""What each note of a melody would be where it does not belong to the chord."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span
from harmony.pitch.note import Note

#: What a note foreign to the chord costs by kind (common practice; a free one is
#: as good as forbidden).
KIND_COSTS = {
    "passing note": 0.3,
    "neighbour note": 0.35,
    "anticipation": 0.5,
    "échappée": 1.0,
    "incomplete neighbour": 1.1,
    "suspension": 1.0,
    "accented passing note": 1.5,
    "appoggiatura": 1.9,
    "free note": 6.0,
}
_STEP = 2
_RIVAL = 4.0


@dataclass(frozen=True, slots=True)
class Sounding:
    """A note, or the part of it, that sounds in one span.

    ``kind`` is what it is if the chord lacks it, ``cost`` what that costs;
    ``is_accented`` says that it sounds when the span begins.
    """

    note: Note
    pitch_class: int
    kind: str
    cost: float
    is_accented: bool


def hear(melody: Melody, spans: Sequence[Span]) -> tuple[tuple[Sounding, ...], ...]:
    """For each span the notes that sound in it, and what each would be off the chord."""
    notes = melody.notes
    tonic = melody.key.tonic.pitch_class
    heard = []
    first = 0
    for span in spans:
        while first < len(notes) and notes[first].end <= span.onset:
            first += 1
        inside = []
        end = span.end
        for index in range(first, len(notes)):
            if notes[index].onset >= end:
                break
            inside.append(_hear_one(notes, index, span, melody, tonic))
        heard.append(tuple(inside))
    return tuple(heard)


def _hear_one(
    notes: Sequence[Note], index: int, span: Span, melody: Melody, tonic: int
) -> Sounding:
    note = notes[index]
    assert note.pitch is not None
    before = notes[index - 1] if index and notes[index - 1].end == note.onset else None
    after = (
        notes[index + 1] if index + 1 < len(notes) and notes[index + 1].onset == note.end else None
    )
    is_accented = note.onset <= span.onset
    held = note.onset < span.onset
    into = 0 if held else _move(before, note)
    out = _move(note, after)
    kind = name_kind(into, out, is_accented=is_accented, is_held=held)
    length = min(note.end, span.end) - max(note.onset, span.onset)
    share = float(length / span.duration)
    cost = KIND_COSTS[kind]
    if kind != "free note":
        cost *= 0.6 + 0.8 * share
        bar = melody.theme.meters.bar_length(max(melody.theme.meters.locate(note.onset)[0], 1))
        # Beyond half a bar a note is heard as part of the harmony, not against it.
        cost += 4.0 * (is_accented and length > bar / 2)
    else:
        cost *= 0.35 + 0.9 * share
    return Sounding(note, (note.pitch.pitch_class - tonic) % 12, kind, cost, is_accented)


def _move(a: Note | None, b: Note | None) -> int | None:
    if a is None or b is None or a.pitch is None or b.pitch is None:
        return None
    return b.pitch.midi - a.pitch.midi


def name_kind(into: int | None, out: int | None, *, is_accented: bool, is_held: bool) -> str:
    """Name a note foreign to its chord by how it is reached and left, in semitones.

    >>> name_kind(2, 2, is_accented=False, is_held=False)
    'passing note'
    """
    steps_in = into is not None and 0 < abs(into) <= _STEP
    steps_out = out is not None and 0 < abs(out) <= _STEP
    if is_held or into == 0:
        return "suspension" if steps_out and is_accented and out is not None and out < 0 else (
            "neighbour note" if steps_out and not is_accented else "free note"
        )  # fmt: skip
    if out == 0 and not is_accented and into is not None:
        return "anticipation"
    if steps_in and steps_out:
        assert into is not None
        assert out is not None
        if is_accented:
            return "accented passing note" if into * out > 0 else "appoggiatura"
        return "passing note" if into * out > 0 else "neighbour note"
    if steps_out:
        return "appoggiatura" if is_accented else "incomplete neighbour"
    if steps_in and not is_accented and out is not None:
        return "échappée"
    return "free note"


def foreign_costs(heard: Sequence[Sequence[Sounding]]) -> NDArray[np.float64]:
    """What each pitch class costs in each span where the chord lacks it, shape (spans, 12)."""
    costs = np.zeros((len(heard), 12))
    for place, inside in enumerate(heard):
        for one in inside:
            costs[place, one.pitch_class] += one.cost
    return costs


def list_clashes(heard: Sequence[Sequence[Sounding]]) -> list[tuple[int, int, int]]:
    """Where an accented note would rub against a chord note a semitone from it, unresolved.

    Gives the span, the note's pitch class and the one beside it; a note that moves to the
    one beside it resolves, and is not among them (common practice).
    """
    flat = [(place, one) for place, inside in enumerate(heard) for one in inside]
    found = []
    for number, (place, one) in enumerate(flat):
        if not one.is_accented:
            continue
        after = next((other for _, other in flat[number + 1 :] if other.note is not one.note), None)
        for step in (1, 11):
            beside = (one.pitch_class + step) % 12
            if after is None or after.pitch_class != beside:
                found.append((place, one.pitch_class, beside))
    return found


def rival_costs(heard: Sequence[Sequence[Sounding]], melody: Melody) -> NDArray[np.float64]:
    """What chords cost that hold the other form of an altered note, shape (spans, 12).

    E flat over a chord with E natural is heard as a wrong note, more than a note
    merely foreign to its chord (common practice). Columns are the pitch classes
    of the other forms above the tonic.
    """
    costs = np.zeros((len(heard), 12))
    tonic = melody.key.tonic.pitch_class
    diatonic = {name.letter: name.pitch_class for name in melody.key.scale}
    raised = melody.key.degree(7, 1).pitch_class if melody.key.is_minor else None
    for place, inside in enumerate(heard):
        for one in inside:
            assert one.note.pitch is not None
            other = diatonic[one.note.pitch.name.letter]
            own = one.note.pitch.pitch_class
            if own not in (other, raised):
                costs[place, (other - tonic) % 12] += _RIVAL if one.is_accented else _RIVAL / 4
    return costs
