"""How a voicing compares with the harmonic series."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from harmony.acoustics.profile import series_profile
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs.cost import Amounts, Term

FULL_SCALE = 100


@dataclass(frozen=True, slots=True)
class SeriesProfile(Term):
    """Distance from the spacing of the harmonic series.

    Whether the distances widen upward and, for major and dominant chords, how much
    a fundamental on the root explains.  0 is spaced like the series, 100 as far
    from it as can be.  A voicing's value depends on no other voicing; the values
    compare voicings of one chord, never one chord with another.
    """

    def single(self, voicings: Voicings) -> Amounts:
        """Hundredths, shape (n,)."""
        sonority = voicings.sonority
        profile = series_profile(
            voicings.pitches,
            root=sonority.root_class if sonority.is_tertian else None,
            pitch_classes=sonority.pitch_classes,
        )
        result: Amounts = np.rint(FULL_SCALE * profile).astype(np.int16)
        return result
