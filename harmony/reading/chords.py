"""Chords read off the notes of a score, with a second choice for each.

For each stretch of time every chord of the usual qualities is weighed: the sound
it explains against the sound it leaves over, each note counting for as long as
it sounds, and for less where it looks like figuration (passing, suspended,
anticipated). The two best are proposed; the composer decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise

from harmony.chords.chord import Chord
from harmony.chords.qualities import find_quality
from harmony.chords.quality import Quality
from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch, PitchName
from harmony.reading.lines import Placed, score_to_lines
from harmony.scoring.score import Score
from harmony.tables.reading import read_rows

QUALITIES = ("maj", "min", "dim", "aug", "dom7", "maj7", "min7", "hdim7", "dim7")
_SHORT = Fraction(1, 2)
_PERFECT_FIFTH = 7


@dataclass(frozen=True, slots=True)
class ChordProposal:
    """A chord proposed for a stretch of time, in quarters.

    ``second`` is the next best of another root, quality or bass, None where
    nothing else comes near. ``lead`` is how far ahead of it the first is; below
    about 0.3 the two are both good readings.
    """

    onset: Fraction
    duration: Fraction
    first: Chord
    second: Chord | None
    lead: float


@dataclass(frozen=True, slots=True)
class _Heard:
    """A note inside a stretch: when it is first heard there, and how much it counts."""

    onset: Fraction
    pitch: Pitch
    weight: float
    line: int


@cache
def _weights() -> dict[str, float]:
    rows = read_rows(
        "chord_reading.csv", lambda row: (row["name"], float(row["value"])), needs=("name", "value")
    )
    return dict(rows)


@cache
def _templates() -> tuple[tuple[Quality, tuple[int, ...]], ...]:
    """Give each quality with its members as semitones above the root."""
    found = []
    for name in QUALITIES:
        quality = find_quality(name)
        found.append((quality, tuple(d.interval.semitones % 12 for d in quality.degrees)))
    return tuple(found)


def propose_chords(
    score: Score, *, spans: Sequence[tuple[Fraction, Fraction]] | None = None
) -> tuple[ChordProposal, ...]:
    """Propose a chord for each beat of a score, from its notes.

    Parameters
    ----------
    score
        In any number of parts; the lowest line on the page is the bass.
    spans
        The stretches (start, end) in quarters to read; every beat otherwise.

    Returns
    -------
    tuple of ChordProposal
        One for each stretch in which anything sounds.
    """
    lines = score_to_lines(score)
    if not lines:
        raise HarmonyError("There are no notes to read chords from; bars with notes are accepted.")
    found = []
    positions = [0] * len(lines)
    for start, end in spans if spans is not None else beat_spans(score):
        heard = []
        for number, line in enumerate(lines):
            while positions[number] < len(line) and line[positions[number]].note.end <= start:
                positions[number] += 1
            for placed in line[positions[number] :]:
                if placed.note.onset >= end:
                    break
                heard.append(_hear(placed, start, end, number))
        if heard:
            found.append(_propose(heard, len(lines) - 1, start, end))
    return tuple(found)


def beat_spans(score: Score) -> list[tuple[Fraction, Fraction]]:
    """Give every beat of a score as (start, end)."""
    spans = []
    for bar in score.all_bars:
        # A pickup holds the last beats of a bar.
        shift = max(bar.meter.bar_quarters - bar.length, Fraction(0)) if bar.number == 0 else 0
        passed = Fraction(0)
        for length in bar.meter.beats_quarters:
            start, stop = passed - shift, passed + length - shift
            passed += length
            if stop > 0 and start < bar.length:
                spans.append(
                    (bar.onset + max(start, Fraction(0)), bar.onset + min(stop, bar.length))
                )
    return spans


def _hear(placed: Placed, start: Fraction, end: Fraction, line: int) -> _Heard:
    """Weigh a note inside a stretch."""
    weights = _weights()
    note, before, after = placed.note, placed.before, placed.after
    onset = max(note.onset, start)
    length = min(note.end, end) - onset
    weight = float(length)
    by_step = note.is_step_from(before) and note.is_step_from(after)
    if note.onset > start:
        weight *= weights["late"] * (weights["late_passing"] if by_step else 1.0)
    else:
        if by_step and length <= _SHORT:
            weight *= weights["accented_passing"]
        held = note.onset < start or (before is not None and before.pitch == note.pitch)
        falls = after is not None and after.pitch.midi < note.pitch.midi
        if held and falls and note.is_step_from(after) and length <= _SHORT:
            weight *= weights["suspended"]
    is_short = note.end - note.onset <= _SHORT
    if is_short and note.is_step_from(before) and after is not None and after.pitch == note.pitch:
        weight *= weights["anticipated"]
    return _Heard(onset, note.pitch, weight, line)


def _propose(
    heard: Sequence[_Heard], bass_line: int, start: Fraction, end: Fraction
) -> ChordProposal:
    sound = [0.0] * 12
    for note in heard:
        sound[note.pitch.pitch_class] += note.weight
    low = [note for note in heard if note.line == bass_line]
    if not low:
        deepest = min(note.pitch.midi for note in heard)
        low = [note for note in heard if note.pitch.midi == deepest]
    low.sort(key=lambda note: note.onset)
    bass = _heaviest(low)
    names = {note.pitch.pitch_class: note.pitch.name for note in heard}
    ranked = sorted(
        (
            (_rate(sound, quality, tones, root, bass, names), -place, root, quality, tones)
            for place, (quality, tones) in enumerate(_templates())
            for root in range(12)
        ),
        key=lambda item: item[:3],
        reverse=True,
    )
    (first_rate, *_), (second_rate, *_) = ranked[0], ranked[1]
    first, second = (
        _build(root, quality, tones, low, names) for _, _, root, quality, tones in ranked[:2]
    )
    return ChordProposal(start, end - start, first, second, first_rate - second_rate)


def _heaviest(low: Sequence[_Heard]) -> int:
    """Give the pitch class of the bass: of its notes in the stretch the weightiest."""
    held: dict[int, float] = {}
    for note in low:
        held[note.pitch.pitch_class] = held.get(note.pitch.pitch_class, 0.0) + note.weight
    return min(held, key=lambda pitch_class: (-held[pitch_class], pitch_class))


def _rate(
    sound: Sequence[float],
    quality: Quality,
    tones: tuple[int, ...],
    root: int,
    bass: int,
    names: dict[int, PitchName],
) -> float:
    """Rate a chord for a stretch; higher is better."""
    weights = _weights()
    total = sum(sound)
    members = [(root + tone) % 12 for tone in tones]
    inside = sum(sound[member] for member in members)
    rate = 2.0 * (inside - weights["foreign"] * (total - inside)) / total + weights[quality.name]
    least = weights["present"] * total
    fifth = "no_fifth" if tones[2] == _PERFECT_FIFTH else "no_altered_fifth"
    for member, loss in zip(members, ("no_root", "no_third", fifth), strict=False):
        if sound[member] <= least:
            rate -= weights[loss]
    if len(members) == 4 and sound[members[3]] <= weights["present_seventh"] * total:
        rate -= weights["no_seventh"]
    rate += _rate_bass(members, bass, quality)
    if quality.name == "dim7":
        rate += weights["spelled"] * (1.0 if _is_in_thirds(members, names) else -1.0)
    return rate


def _rate_bass(members: Sequence[int], bass: int, quality: Quality) -> float:
    weights = _weights()
    if bass not in members:
        return weights["foreign_bass"]
    place = members.index(bass)
    # A diminished triad stands on any of its notes.
    if place == 2 and quality.name == "dim":
        return 0.0
    return (weights["root_bass"], 0.0, weights["fifth_bass"], weights["seventh_bass"])[place]


def _is_in_thirds(members: Sequence[int], names: dict[int, PitchName]) -> bool:
    """True where the written letters agree with thirds above this root."""
    steps = [names[member].step if member in names else None for member in members]
    for below, above in pairwise(steps):
        if below is not None and above is not None and (above - below) % 7 != 2:
            return False
    return steps[0] is None or steps[3] is None or (steps[3] - steps[0]) % 7 == 6


def _build(
    root: int,
    quality: Quality,
    tones: tuple[int, ...],
    low: Sequence[_Heard],
    names: dict[int, PitchName],
) -> Chord:
    """Spell a chord as its notes are written; the first chord note in the bass is its bass."""
    members = [(root + tone) % 12 for tone in tones]
    root_name = _spell_root(members, quality, names)
    bass = next((n.pitch for n in low if n.pitch.pitch_class in members), low[0].pitch)
    if bass.pitch_class in members:
        degree = quality.degrees[members.index(bass.pitch_class)]
        bass_name = transpose(root_name, degree.interval)
    else:
        bass_name = bass.name
    return Chord(root_name, quality, bass_name)


def _spell_root(members: Sequence[int], quality: Quality, names: dict[int, PitchName]) -> PitchName:
    """Spell the root as written, or from the lowest member that is."""
    for member, degree in zip(members, quality.degrees, strict=True):
        if member in names:
            down = Interval(-degree.interval.steps, -degree.interval.semitones)
            return transpose(names[member], down)
    return PitchName.from_fifths((members[0] * 7 + 5) % 12 - 5)
