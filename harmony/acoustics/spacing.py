"""A sonority against the harmonic series: the value behind ``harmony spacing``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from harmony.acoustics.crowding import LowInterval
from harmony.acoustics.measure import Measures
from harmony.acoustics.rubbing import RoughPair
from harmony.acoustics.series import Placed, skipped_partials
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch, PitchName
from harmony.showing import Shown


@dataclass(frozen=True, slots=True)
class Spacing(Shown):
    """What the ear makes of a sonority, lowest note first.

    ``fundamental`` is the acoustic fundamental found or chosen, ``support`` how
    well it explains the notes (0 to 1), ``runner_up`` the next best with its own
    support. ``root`` is the theoretical root, a different fact. ``roughness`` is
    Hutchinson and Knopoff's (1978) with eleven partials of amplitude 1/n, or of the
    players' spectra where given. ``harmonicity`` is how many periods of the whole
    pass in one of the lowest note, at most 1: two to the power of minus
    Stolzenburg's smoothed periodicity. ``measures`` holds one row of every model.
    """

    placed: tuple[Placed, ...]
    fundamental: Pitch
    fundamental_hz: float
    support: float
    runner_up: Pitch
    runner_up_support: float
    root: PitchName
    roughness: float
    harmonicity: float
    rough_pairs: tuple[RoughPair, ...]
    low_intervals: tuple[LowInterval, ...]
    measures: Measures

    @property
    def pitches(self) -> tuple[Pitch, ...]:
        """The notes, lowest first."""
        return tuple(one.pitch for one in self.placed)

    @property
    def skipped(self) -> tuple[int, ...]:
        """The partials between the lowest and highest that no note takes."""
        return skipped_partials(self.placed)

    def to_json(self) -> dict[str, Any]:
        """Give what ``harmony spacing --json`` prints."""
        return {
            "fundamental": str(self.fundamental),
            "fundamental_hz": round(self.fundamental_hz, 4),
            "root": str(self.root),
            "notes": [
                {
                    "pitch": str(one.pitch),
                    "partial": one.partial,
                    "cents": round(one.deviation_cents, 3),
                }
                for one in self.placed
            ],
            "roughness": round(self.roughness, 6),
            "harmonicity": round(self.harmonicity, 6),
            "low_interval_findings": [one.to_json() for one in self.low_intervals],
        }

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:
        """Give one row a note, lowest first."""
        _check_alternative(alternative)
        return [
            {
                "pitch": str(one.pitch),
                "midi": one.pitch.midi,
                "partial": one.partial,
                "cents": round(one.deviation_cents, 3),
                "in_series": one.is_in_series,
            }
            for one in self.placed
        ]

    def to_score(self, alternative: int = 1) -> Any:
        """Give the sonority as one chord on two staves."""
        _check_alternative(alternative)
        from harmony.acoustics.score import sonority_to_score  # scores load slowly

        return sonority_to_score(self.pitches)


def _check_alternative(alternative: int) -> None:
    if alternative != 1:
        raise HarmonyError("A sonority has one alternative only; 1 is accepted.")
