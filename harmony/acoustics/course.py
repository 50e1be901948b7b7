"""Roughness and spacing in the course of a progression: the lines under the notation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.crowding import low_interval_depth
from harmony.acoustics.notes import drop_doubles
from harmony.acoustics.profile import gap_profile
from harmony.acoustics.spectrum import plain_amplitudes
from harmony.pitch.spelling import Pitch

_PARTIALS = 11


@dataclass(frozen=True, slots=True)
class Moment:
    """One sonority of a progression, None where nothing sounds.

    ``roughness`` is Hutchinson and Knopoff's, ``gap_profile`` 0 (distances narrow
    upward) to 1, ``low_semitones`` how far low intervals lie below their limits,
    added up.
    """

    roughness: float | None
    gap_profile: float | None
    low_semitones: float | None


def follow(sonorities: Sequence[Sequence[Pitch]]) -> tuple[Moment, ...]:
    """Measure the sonorities of a progression, one after another.

    Parameters
    ----------
    sonorities
        What sounds at each place, in any order; notes in unison count once, and
        an empty place is silence. Tones are plain, eleven partials of 1/n.

    Returns
    -------
    tuple of Moment
        One for each sonority.
    """
    moments = [Moment(None, None, None)] * len(sonorities)
    by_size: dict[int, list[tuple[int, list[int]]]] = {}
    for place, pitches in enumerate(sonorities):
        midi = [pitch.midi for pitch in drop_doubles(pitches)]
        if midi:
            by_size.setdefault(len(midi), []).append((place, midi))
    for together in by_size.values():
        rows = np.array([midi for _, midi in together])
        rough = measure_roughness(rows, plain_amplitudes(_PARTIALS)).hutchinson_knopoff
        measured = zip(rough, gap_profile(rows), low_interval_depth(rows), strict=True)
        for (place, _), values in zip(together, measured, strict=True):
            moments[place] = Moment(*(float(value) for value in values))
    return tuple(moments)
