"""Keys by name, and what is held in words."""

from __future__ import annotations

from collections.abc import Sequence

from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch, PitchName, name_at_fifths
from harmony.workbench.words import speak_pitch, write_pitch, write_signs

_MOST_SIGNS = 7  # of a signature
_MINOR_TONIC = 3  # fifths from a signature's major tonic to its minor one


def key_names() -> tuple[str, ...]:
    """Give the major and minor keys with up to seven signs, few signs first."""
    fifths = sorted(range(-_MOST_SIGNS, _MOST_SIGNS + 1), key=lambda count: (abs(count), -count))
    names = []
    for count in fifths:
        names.append(f"{_tonic(count)} major")
        names.append(f"{_tonic(count + _MINOR_TONIC)} minor")
    return tuple(names)


def _tonic(fifths: int) -> str:
    return write_signs(str(name_at_fifths(fifths)))


def name_key(key: Key) -> str:
    """Name a key as a composer does: ``B♭ minor``."""
    return f"{write_signs(str(key.tonic))} {key.mode}"


def name_to_key(name: str) -> Key:
    """Read what :func:`name_key` wrote."""
    tonic, _, mode = name.partition(" ")
    return Key(PitchName.from_text(tonic), mode)


def write_pitches(pitches: Sequence[Pitch]) -> str:
    """Write pitches with their signs."""
    return "  ".join(write_pitch(pitch) for pitch in pitches)


def speak_pitches(pitches: Sequence[Pitch]) -> str:
    """Say pitches."""
    return ", ".join(speak_pitch(pitch) for pitch in pitches)
