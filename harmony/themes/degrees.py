"""Where a pitch stands in a scale: its step and how far it is altered.

Diatonic operations move steps and keep alterations; this module is the one place
that turns pitches into steps and back.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from harmony.pitch import Key, Pitch, PitchName, Theme

_SEVEN = 7


def pitch_to_place(pitch: Pitch, key: Key) -> tuple[int, int]:
    """Give (staff step counted from C0, alteration against the key's scale)."""
    return pitch.staff_step, pitch.alter - scale_alters(key)[pitch.name.step]


def place_to_pitch(step: int, alter: int, key: Key) -> Pitch:
    """Give the pitch on a staff step, altered against the key's scale."""
    octave, place = divmod(step, _SEVEN)
    letter = "CDEFGAB"[place]
    return Pitch(letter, scale_alters(key)[place] + alter, octave)


@lru_cache(maxsize=256)
def scale_alters(key: Key) -> tuple[int, ...]:
    """Give the alteration of each letter, C to B, in the key's scale."""
    by_step = {name.step: name.alter for name in key.scale}
    return tuple(by_step[step] for step in range(_SEVEN))


def key_of(theme: Theme) -> Key:
    """Give the theme's key, or the major key whose seven notes it uses most.

    Only the collection of notes matters to the operations here, so a theme
    without a key is read in the signature that holds most of its duration; of
    equal ones the signature with the fewest sharps or flats is taken.
    """
    if theme.key is not None:
        return theme.key
    lengths: dict[int, Fraction] = {}
    for note in theme.line.sounding:
        if note.pitch is not None:
            fifths = note.pitch.name.fifths
            lengths[fifths] = lengths.get(fifths, Fraction(0)) + note.duration

    def held(signature: int) -> tuple[Fraction, int]:
        inside = sum(
            (length for fifths, length in lengths.items() if -1 <= fifths - signature <= 5),
            Fraction(0),
        )
        return inside, -abs(signature)

    return Key(PitchName.from_fifths(max(range(-7, 8), key=held)))
