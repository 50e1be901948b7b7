"""Names for played notes: which spelling a key asks for, and which a melody asks for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache, lru_cache

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch, PitchName, name_at_fifths
from harmony.tables.reading import read_rows

LOWEST, HIGHEST = 0, 127  # MIDI numbers
MOST_SIGNS = 2  # beyond a double sharp or flat nobody wants to read a note
_FURTHEST_FLAT, _FURTHEST_SHARP = -15, 19  # F double flat and B double sharp, in fifths from C
_FOREIGN = 4.0  # reluctance to a name that the table does not have
_RAISED_DEGREES_OF_MINOR = (3, 5)  # sixth and seventh, in fifths above the tonic


def check_numbers(numbers: Sequence[int]) -> None:
    """Refuse what is no MIDI number."""
    for number in numbers:
        if not LOWEST <= number <= HIGHEST:
            raise HarmonyError(f"{number} is not a MIDI note number; they go from 0 to 127.")


@cache
def _reluctances() -> Mapping[tuple[str, int], float]:
    rows = read_rows(
        "played_names.csv",
        lambda row: ((row["mode"], int(row["fifths"])), float(row["reluctance"])),
        needs=("mode", "fifths", "reluctance"),
    )
    return dict(rows)


@lru_cache(maxsize=4096)
def reluctance(fifths: int, key: Key) -> float:
    """Say how little a key asks for a name: 0 in its scale, more the further from it.

    ``fifths`` is the name's place on the line of fifths. The figures are in
    data/played_names.csv, by distance from the tonic; every mode with a minor
    third is weighed as minor, but no name of its own scale is weighed at all.
    """
    if name_at_fifths(fifths) in key.scale:
        return 0.0
    mode = "minor" if key.is_minor else "major"
    return _reluctances().get((mode, fifths - key.tonic.fifths), _FOREIGN)


@lru_cache(maxsize=4096)
def names_of(pitch_class: int, key: Key) -> tuple[PitchName, ...]:
    """Give the names a pitch class can have with up to two signs, the one a key asks for first."""
    tonic = key.tonic.fifths
    found = [
        fifths
        for fifths in range(_FURTHEST_FLAT, _FURTHEST_SHARP + 1)
        if (fifths * 7 - pitch_class) % 12 == 0
    ]
    found.sort(key=lambda fifths: (reluctance(fifths, key), abs(fifths - tonic - 1)))
    return tuple(name_at_fifths(fifths) for fifths in found)


def spell_note(number: int, key: Key) -> Pitch:
    """Spell one note by itself."""
    check_numbers([number])
    return names_of(number % 12, key)[0].at_midi(number)


def next_name(pitch: Pitch, key: Key) -> Pitch:
    """Give the same sound under its next name; after the last comes the first again."""
    names = names_of(pitch.pitch_class, key)
    place = names.index(pitch.name) + 1 if pitch.name in names else 0
    return names[place % len(names)].at_midi(pitch.midi)


def spell_melody(numbers: Sequence[int | None], key: Key) -> tuple[Pitch | None, ...]:
    """Spell a melody; None is a rest.

    A note of the scale (in minor with its raised sixth and seventh) keeps its
    name. Any other note that moves on by a semitone takes a letter of its own,
    raised where it rises and lowered where it falls; one that leaps is spelled
    as by itself (common practice).
    """
    check_numbers([number for number in numbers if number is not None])
    found: list[Pitch | None] = [None] * len(numbers)
    later: Pitch | None = None
    # From the end, because a note is named for the one it moves to.
    for place in range(len(numbers) - 1, -1, -1):
        number = numbers[place]
        if number is not None:
            later = _spell_before(number, later, key)
            found[place] = later
        else:
            later = None
    return tuple(found)


def _spell_before(number: int, later: Pitch | None, key: Key) -> Pitch:
    usual = spell_note(number, key)
    if later is None or _is_melodic(usual, key):
        return usual
    if later.midi == number:
        return later
    if abs(later.midi - number) != 1:
        return usual
    step = 1 if later.midi < number else -1
    for name in names_of(number % 12, key):
        pitch = name.at_midi(number)
        if pitch.staff_step - later.staff_step == step:
            return pitch
    return usual


def _is_melodic(pitch: Pitch, key: Key) -> bool:
    above = pitch.name.fifths - key.tonic.fifths
    return pitch.name in key.scale or (key.is_minor and above in _RAISED_DEGREES_OF_MINOR)
