"""Where a pitch stands in a scale: its step and how far it is altered.

Diatonic operations move steps and keep alterations; this module is the one place
that turns pitches into steps and back.
"""

from __future__ import annotations

from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.pitch import Key, Pitch, PitchName, Theme
from harmony.pitch.keyfinding import KeyReading, find_key, fits_a_scale
from harmony.pitch.spelling import LETTERS

_SEVEN = 7
_BARE = Key(PitchName("C"))


def pitch_to_place(pitch: Pitch, key: Key) -> tuple[int, int]:
    """Give (staff step counted from C0, alteration against the key's scale)."""
    return pitch.staff_step, pitch.alter - scale_alters(key)[pitch.name.step]


def place_to_pitch(step: int, alter: int, key: Key) -> Pitch:
    """Give the pitch on a staff step, altered against the key's scale."""
    octave, place = divmod(step, _SEVEN)
    return Pitch(LETTERS[place], scale_alters(key)[place] + alter, octave)


@lru_cache(maxsize=256)
def scale_alters(key: Key) -> tuple[int, ...]:
    """Give the alteration of each letter, C to B, in the key's scale."""
    by_step = {name.step: name.alter for name in key.scale}
    return tuple(by_step[step] for step in range(_SEVEN))


class KeylessError(HarmonyError):
    """Something that goes by the degrees of a key was asked of a theme that has none."""


def key_or_none(theme: Theme) -> Key | None:
    """Give the theme's key, the one found where none is given, or None where none fits."""
    if theme.key is not None:
        return theme.key
    found = find_theme_key(theme)
    return found.key if found else None


def key_of(theme: Theme) -> Key:
    """Give the theme's key, or the one found where none is given.

    Raises
    ------
    KeylessError
        If none is given and the notes lie in no scale.
    """
    key = key_or_none(theme)
    if key is None:
        raise KeylessError(
            "This goes by the degrees of a key, and the theme has none, as its notes lie in no"
            " major, minor or church scale; say a key with it ('key D minor'), or go by exact"
            " intervals ('real inversion')."
        )
    return key


def frame_key(theme: Theme) -> Key:
    """Give the key that answers are spelled in; where there is none, real ones go by C major."""
    return key_or_none(theme) or _BARE


@lru_cache(maxsize=64)
def find_theme_key(theme: Theme) -> KeyReading | None:
    """Find the key of a theme from its notes alone, and the next likely; None where none fits."""
    notes = [note for note in theme.line.sounding if note.duration]
    if not fits_a_scale(notes):
        return None
    found = find_key(notes, theme.phrase_ends)
    names = {note.pitch.name for note in notes if note.pitch}
    other = found.runner_up
    if (
        other.tonic == found.key.tonic
        and names <= set(other.scale)
        and not (names <= set(found.key.scale))
    ):  # such as a tune in Dorian, which minor with its sixth raised would hold as well
        return KeyReading(other, found.key, found.margin)
    return found


def tell_key(theme: Theme) -> str:
    """Say in a sentence which key a theme is read in, where none is given; else nothing."""
    if theme.key is not None:
        return ""
    found = find_theme_key(theme)
    if found is None:
        return (
            "No key is given, and the notes lie in no major, minor or church scale: answers and"
            " operations go by exact intervals."
        )
    key, other = (f"{one.tonic} {one.mode}" for one in (found.key, found.runner_up))
    return f"No key is given; it is read in {key}, and next likely is {other}."
