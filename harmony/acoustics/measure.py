"""All measures of sonorities in one pass: the numbers behind the spacing view."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.batch import Roughness, measure_roughness
from harmony.acoustics.fundamental import best_fundamentals
from harmony.acoustics.harmonicity import (
    barlow_chord_harmonicity,
    chord_gradus,
    mean_tenney_distance,
)
from harmony.acoustics.periodicity import log_periodicity
from harmony.acoustics.profile import gap_profile
from harmony.acoustics.root import (
    PARNCUTT_1988,
    PARNCUTT_2006,
    TERHARDT,
    roots_of_classes,
    sounding_classes,
)
from harmony.acoustics.spectrum import plain_amplitudes
from harmony.units import CONCERT_A_HZ

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Measures:
    """What the models say of N sonorities; each array has the shape (N,).

    ``fundamental`` (MIDI) is the best explanation, ``support`` how good it is (0
    to 1). ``log_periodicity`` (Stolzenburg) and ``tenney`` are in octaves,
    ``gradus`` (Euler) and ``barlow`` plain numbers. ``gap_profile`` is 0 for
    distances that narrow upward, to 1. The roots are pitch classes, their
    ambiguity is 1 for one clear root and more for several.
    """

    roughness: Roughness
    fundamental: NDArray[np.int64]
    support: Array
    log_periodicity: Array
    gradus: NDArray[np.int64]
    tenney: Array
    barlow: Array
    gap_profile: Array
    parncutt_root: NDArray[np.int64]
    parncutt_ambiguity: Array
    parncutt_1988_root: NDArray[np.int64]
    parncutt_1988_ambiguity: Array
    terhardt_root: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.support)


def measure_voicings(
    voicings: ArrayLike, amplitudes: ArrayLike | None = None, *, a4_hz: float = CONCERT_A_HZ
) -> Measures:
    """Measure tempered sonorities of the same number of notes.

    Parameters
    ----------
    voicings
        MIDI numbers as sounding, shape (N, n) or (n,), in any order within a row.
    amplitudes
        Linear amplitudes of the partials, shape (p,), (n, p) or (N, n, p), in the
        order of the notes; sixteen partials of amplitude 1/n when left out.
    a4_hz
        The frequency of A4 in hertz.

    Returns
    -------
    Measures
        Arrays of shape (N,).
    """
    rows = np.atleast_2d(np.asarray(voicings, dtype=np.int64))
    levels = plain_amplitudes() if amplitudes is None else amplitudes
    fundamental, support = best_fundamentals(rows)
    classes = sounding_classes(rows)
    later_root, later_ambiguity = roots_of_classes(classes, PARNCUTT_2006)
    early_root, early_ambiguity = roots_of_classes(classes, PARNCUTT_1988)
    return Measures(
        roughness=measure_roughness(rows, levels, a4_hz=a4_hz),
        fundamental=fundamental,
        support=support,
        log_periodicity=log_periodicity(rows),
        gradus=chord_gradus(rows),
        tenney=mean_tenney_distance(rows),
        barlow=barlow_chord_harmonicity(rows),
        gap_profile=gap_profile(rows),
        parncutt_root=later_root,
        parncutt_ambiguity=later_ambiguity,
        parncutt_1988_root=early_root,
        parncutt_1988_ambiguity=early_ambiguity,
        terhardt_root=roots_of_classes(classes, TERHARDT)[0],
    )
