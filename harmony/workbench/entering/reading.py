"""What played notes can mean: known chords spelled in thirds, or a sonority of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from harmony.chords.chord import Chord
from harmony.chords.qualities import rows_by_name
from harmony.chords.quality import Degree, Quality
from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch, PitchName, name_at_fifths
from harmony.tables.reading import read_rows
from harmony.workbench.entering.spelling import MOST_SIGNS, check_numbers, names_of, reluctance

#: Spelled for where they lead; read only on this root, in fifths above the tonic: the raised
#: fourth degree, of the French sixth the second, of the doubly augmented fourth the raised second.
AUGMENTED_SIXTHS = {"it6": 6, "ger6": 6, "fr6": 2, "sw6": 9}
#: Chords that players read over any bass (common practice).
OVER_FOREIGN_BASS = frozenset({"maj", "min", "dim", "dom7", "maj7", "min7", "hdim7", "dim7"})
_NEVER = frozenset({"tristan", "unison", "dom7alt"})
_FIFTH = Degree(5)
_SEVENTH = 7
_WINDOW = 12  # names a fifth apart that cover every pitch class once


@dataclass(frozen=True, slots=True)
class Meaning:
    """Played notes with their spelling, lowest first; ``chord`` is None for a sonority of its own.

    ``reluctance`` says how far the reading is from the usual one; the least comes first.
    """

    pitches: tuple[Pitch, ...]
    chord: Chord | None
    reluctance: float


@cache
def _weights() -> Mapping[str, float]:
    rows = read_rows(
        "played_chords.csv",
        lambda row: (row["name"], float(row["reluctance"])),
        needs=("name", "reluctance"),
    )
    return dict(rows)


@cache
def _shapes() -> tuple[tuple[frozenset[int], Quality, tuple[Degree, ...]], ...]:
    """Give each quality with its semitones above the root, whole and without its fifth."""
    found: list[tuple[frozenset[int], Quality, tuple[Degree, ...]]] = []
    for name, row in rows_by_name().items():
        if name in _NEVER:
            continue
        degrees = row.quality.degrees
        whole = frozenset(degree.interval.semitones % 12 for degree in degrees)
        found.append((whole, row.quality, ()))
        numbers = {degree.number for degree in degrees}
        if name not in AUGMENTED_SIXTHS and _FIFTH in degrees and {3, _SEVENTH} <= numbers:
            found.append((whole - {7}, row.quality, (_FIFTH,)))
    return tuple(found)


def read_played(numbers: Sequence[int], key: Key) -> tuple[Meaning, ...]:
    """Give the meanings of notes played together, each with another spelling.

    Parameters
    ----------
    numbers
        MIDI numbers, in any order.
    key
        The key to spell in.

    Returns
    -------
    tuple of Meaning
        The most usual in the key first: chords of data/qualities.csv, and the
        sonority that the notes are where no chord comes near.
    """
    if not numbers:
        raise HarmonyError("No notes are held; play some first.")
    check_numbers(numbers)
    ordered = sorted(set(numbers))
    known = sorted(
        (*_find_chords(ordered, key), *_find_over_bass(ordered, key)), key=_by_reluctance
    )
    free = sorted(_find_sonorities(ordered, key), key=_by_reluctance)
    found: dict[tuple[Pitch, ...], Meaning] = {}
    # Chords go in first: the same spelling without a name would say less.
    for meaning in (*known, *free):
        found.setdefault(meaning.pitches, meaning)
    return tuple(sorted(found.values(), key=_by_reluctance))


def _by_reluctance(meaning: Meaning) -> float:
    return meaning.reluctance


def read_spelled(pitches: Sequence[Pitch], key: Key) -> Meaning:
    """Give the meaning of notes whose spelling is settled."""
    ordered = tuple(sorted(pitches, key=lambda pitch: pitch.midi))
    for meaning in read_played([pitch.midi for pitch in ordered], key):
        if meaning.pitches == ordered:
            return meaning
    cost = sum(reluctance(pitch.name.fifths, key) for pitch in ordered)
    return Meaning(ordered, None, cost + _weights()["no chord"])


def _find_chords(ordered: Sequence[int], key: Key) -> Iterator[Meaning]:
    sounding = {number % 12 for number in ordered}
    for shape, quality, omitted in _shapes():
        if len(shape) != len(sounding):
            continue
        for root in sounding:
            if {(root + semitones) % 12 for semitones in shape} != sounding:
                continue
            for name in names_of(root, key):
                above = name.fifths - key.tonic.fifths
                if AUGMENTED_SIXTHS.get(quality.name, above) == above:
                    meaning = _build(ordered, name, quality, omitted, key)
                    if meaning is not None:
                        yield meaning


def _build(
    ordered: Sequence[int],
    root: PitchName,
    quality: Quality,
    omitted: tuple[Degree, ...],
    key: Key,
) -> Meaning | None:
    degrees = [degree for degree in quality.degrees if degree not in omitted]
    names = {
        name.pitch_class: (name, degree)
        for degree in degrees
        for name in [name_at_fifths(root.fifths + degree.fifths)]
    }
    if any(abs(name.alter) > MOST_SIGNS for name, _ in names.values()):
        return None
    pitches = tuple(names[number % 12][0].at_midi(number) for number in ordered)
    bass, lowest = names[ordered[0] % 12]
    cost = sum(reluctance(name.fifths, key) for name, _ in names.values())
    cost += _rate(root, quality, lowest, key)
    if omitted:
        cost += _weights()["no fifth"]
    return Meaning(pitches, Chord(root, quality, bass, (), omitted), cost)


def _rate(root: PitchName, quality: Quality, bass: Degree, key: Key) -> float:
    weights = _weights()
    cost = weights.get(quality.name, weights["any other"])
    if bass.number != 1:
        words = {3: "third in the bass", 5: "fifth in the bass"}
        cost += weights[words.get(bass.number, "other bass")]
        cost += weights.get(f"undecided {quality.name}", 0.0)
    if quality.name == "dim7" and root.fifths == key.tonic.fifths + 5:
        cost += weights["own leading tone"]
    return cost


def _find_over_bass(ordered: Sequence[int], key: Key) -> Iterator[Meaning]:
    """Find a usual chord over a bass that is foreign to it, such as A7 over D."""
    foreign = ordered[0] % 12
    upper = [number for number in ordered if number % 12 != foreign]
    for meaning in _find_chords(upper, key):
        chord = meaning.chord
        if chord is None or chord.omitted or chord.quality.name not in OVER_FOREIGN_BASS:
            continue
        taken = {pitch.name.letter for pitch in meaning.pitches}
        for bass in names_of(foreign, key):
            # A letter that the chord has already would make the bass an altered chord note.
            if bass.letter in taken:
                continue
            spelled = {pitch.midi: pitch for pitch in meaning.pitches}
            pitches = tuple(spelled.get(number) or bass.at_midi(number) for number in ordered)
            cost = sum(reluctance(name.fifths, key) for name in {p.name for p in pitches})
            cost += _rate(chord.root, chord.quality, Degree(1), key) + _weights()["foreign bass"]
            yield Meaning(pitches, Chord(chord.root, chord.quality, bass), cost)


def _find_sonorities(ordered: Sequence[int], key: Key) -> Iterator[Meaning]:
    """Spell from twelve names in a row on the line of fifths, so that no sound has two names."""
    tonic = key.tonic.fifths
    for first in range(tonic - _WINDOW, tonic + 3):
        names = {name_at_fifths(fifths).pitch_class: fifths for fifths in range(first, first + 12)}
        places = [names[number % 12] for number in ordered]
        spelled = [name_at_fifths(place) for place in places]
        if all(abs(name.alter) <= MOST_SIGNS for name in spelled):
            pitches = tuple(n.at_midi(number) for n, number in zip(spelled, ordered, strict=True))
            cost = sum(reluctance(place, key) for place in set(places))
            yield Meaning(pitches, None, cost + _weights()["no chord"])
