"""Sounding notes made writeable: rounded in time, spelled, grouped into voices."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName, spell_midi
from harmony.scoring.build import usual_clef
from harmony.scoring.clef import ClefChange
from harmony.scoring.direction import KeyChange
from harmony.scoring.event import Event
from harmony.scoring.part import Staff

#: Lengths of a quarter that times are rounded to: thirty-seconds, triplet sixteenths.
_GRIDS = (8, 6)
_SHORTEST = Fraction(1, 8)


@dataclass(frozen=True, slots=True)
class Sounding:
    """A note by its MIDI number, in exact quarters."""

    onset: Fraction
    end: Fraction
    midi: int


def quantise(start: int, end: int, division: int) -> tuple[Fraction, Fraction]:
    """Round a note's two ends, given in ticks, to writeable times in quarters."""
    onset, stop = _round(start, division), _round(end, division)
    return onset, max(stop, onset + _SHORTEST)


def _round(tick: int, division: int) -> Fraction:
    exact = Fraction(tick, division)
    return min(
        (Fraction(round(exact * grid), grid) for grid in _GRIDS),
        key=lambda time: (abs(time - exact), time.denominator),
    )


def find_key(notes: Iterable[Sounding]) -> Key:
    """Give the major key whose scale holds most of the sound, the plainest of equals."""
    held = [Fraction(0)] * 12
    for note in notes:
        held[note.midi % 12] += note.end - note.onset

    def inside(fifths: int) -> Fraction:
        names = (PitchName.from_fifths(fifths + step) for step in range(-1, 6))
        return sum((held[name.pitch_class] for name in names), Fraction(0))

    best = max(range(-5, 7), key=lambda fifths: (inside(fifths), -abs(fifths)))
    return Key(PitchName.from_fifths(best))


def build_staff(
    notes: Sequence[Sounding], keys: Sequence[KeyChange], *, is_percussion: bool
) -> Staff:
    """Give a staff: notes of equal time as chords, overlapping ones in further voices."""
    chords: dict[tuple[Fraction, Fraction], set[int]] = {}
    for note in notes:
        chords.setdefault((note.onset, note.end), set()).add(note.midi)
    ends: list[Fraction] = []
    events: list[Event] = []
    for (onset, end), numbers in sorted(chords.items(), key=lambda c: (c[0][0], -max(c[1]))):
        voice = next((v for v, taken in enumerate(ends) if taken <= onset), len(ends))
        if voice == len(ends):
            ends.append(onset)
        ends[voice] = end
        key = [change.key for change in keys if change.onset <= onset][-1]
        pitches = tuple(spell_midi(midi, around=key.tonic.fifths) for midi in sorted(numbers))
        marks = ("unpitched",) if is_percussion else ()
        events.append(Event(onset, end - onset, pitches, voice + 1, marks=marks))
    clef = "percussion" if is_percussion else usual_clef([p for e in events for p in e.pitches])
    return Staff(tuple(events), (ClefChange(Fraction(0), clef),))
