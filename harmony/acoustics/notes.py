"""Notes of a sonority as people give them, checked: text, pitches or MIDI numbers."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise

from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch, spell_midi

#: MIDI numbers that sound: C0 (16 Hz) to B9 (15,804 Hz).
LOWEST_HEARD, HIGHEST_HEARD = 12, 131
FEWEST_NOTES, MOST_NOTES = 2, 32
_BETWEEN = re.compile(r"[\s,;|+]+")

Notes = str | Iterable[str | int | Pitch]


def read_notes(notes: Notes) -> tuple[Pitch, ...]:
    """Read a sonority and give its pitches, lowest first.

    Parameters
    ----------
    notes
        Names with octaves in one text (``"C2 G2 E3"``, commas and braces
        allowed), or a series of names, pitches or MIDI numbers.

    Raises
    ------
    HarmonyError
        One sentence each for no notes, one note, more than 32, a note beyond
        hearing, and a note given twice.
    """
    pitches = sorted((_read_note(note) for note in _split(notes)), key=lambda p: p.midi)
    if len(pitches) < FEWEST_NOTES:
        said = "There is no note" if not pitches else f"One note ({pitches[0]}) has no spacing"
        raise HarmonyError(
            f"{said}; {FEWEST_NOTES} to {MOST_NOTES} notes are accepted, such as C2 G2 E3.",
            where="notes",
        )
    if len(pitches) > MOST_NOTES:
        raise HarmonyError(
            f"{len(pitches)} notes are more than can be shown against one series;"
            f" {FEWEST_NOTES} to {MOST_NOTES} are accepted.",
            where="notes",
        )
    for lower, upper in pairwise(pitches):
        if lower.midi == upper.midi:
            spelled = f", as {lower} and {upper}" if lower != upper else ""
            raise HarmonyError(
                f"{lower} is there twice{spelled}; each sounding note once is accepted.",
                where=str(upper),
            )
    return tuple(pitches)


def drop_doubles(pitches: Iterable[Pitch]) -> tuple[Pitch, ...]:
    """Give each sounding note once, lowest first: what several players share is one note."""
    found: dict[int, Pitch] = {}
    for pitch in pitches:
        found.setdefault(pitch.midi, pitch)
    return tuple(found[midi] for midi in sorted(found))


def read_fundamental(given: str | int | Pitch, pitches: tuple[Pitch, ...]) -> Pitch:
    """Read a chosen fundamental and check that the chord lies on or above it."""
    fundamental = _read_note(given)
    if fundamental.midi > pitches[0].midi:
        raise HarmonyError(
            f"The fundamental {fundamental} lies above the lowest note, {pitches[0]};"
            f" {pitches[0]} or a note below it is accepted.",
            where=str(fundamental),
        )
    return fundamental


def _split(notes: Notes) -> list[str | int | Pitch]:
    if isinstance(notes, str):
        return [word for word in _BETWEEN.split(notes.strip().strip("{}").strip()) if word]
    return list(notes)


def _read_note(given: str | int | Pitch) -> Pitch:
    if isinstance(given, Pitch):
        pitch = given
    elif isinstance(given, str):
        pitch = Pitch.from_text(given)
    elif LOWEST_HEARD <= given <= HIGHEST_HEARD:
        return spell_midi(given)
    else:
        raise _beyond_hearing(f"MIDI number {given}")
    if not LOWEST_HEARD <= pitch.midi <= HIGHEST_HEARD:
        raise _beyond_hearing(str(pitch))
    return pitch


def _beyond_hearing(named: str) -> HarmonyError:
    return HarmonyError(
        f"{named} is beyond hearing; notes from C0 to B9 are accepted.", where=named
    )
