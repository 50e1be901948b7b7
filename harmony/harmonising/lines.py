"""What is given to be harmonised: a melody, a bass, an inner tune, a tune with its bass."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.pitch.theme import Theme

MELODY, BASS, INNER, BOTH = "melody", "bass", "inner", "both"
GIVENS = (MELODY, BASS, INNER, BOTH)


@dataclass(frozen=True, slots=True)
class Given:
    """Which voice the theme is, one of GIVENS; with ``both`` the bass that lies under it."""

    kind: str = MELODY
    bass: Theme | None = None

    def __post_init__(self) -> None:
        if self.kind not in GIVENS:
            raise HarmonyError(f"{self.kind!r} is nothing to start from; {', '.join(GIVENS)} are.")
        if (self.kind == BOTH) != (self.bass is not None):
            raise HarmonyError("A bass goes with a tune where both are given, and only there.")


THE_MELODY = Given()
