"""Clefs by name, as sign, line and octave."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError

#: name -> (sign, line from the bottom, octaves that sound above the sign)
CLEFS: dict[str, tuple[str, int, int]] = {
    "treble": ("G", 2, 0),
    "bass": ("F", 4, 0),
    "alto": ("C", 3, 0),
    "tenor": ("C", 4, 0),
    "treble8vb": ("G", 2, -1),
    "bass8vb": ("F", 4, -1),
    "treble8va": ("G", 2, 1),
    "bass8va": ("F", 4, 1),
    "treble15ma": ("G", 2, 2),
    "soprano": ("C", 1, 0),
    "mezzosoprano": ("C", 2, 0),
    "baritone": ("C", 5, 0),
    "baritone-f": ("F", 3, 0),
    "subbass": ("F", 5, 0),
    "french": ("G", 1, 0),
    "percussion": ("percussion", 3, 0),
}
_NAMES = {parts: name for name, parts in CLEFS.items()}


@dataclass(frozen=True, slots=True)
class ClefChange:
    """From when, in quarters, a staff is read in which clef."""

    onset: Fraction
    name: str

    def __post_init__(self) -> None:
        if self.name not in CLEFS:
            raise HarmonyError(
                f"{self.name!r} is not a clef known here; known are {', '.join(CLEFS)}."
            )


def clef_name(sign: str, line: int, octaves: int = 0) -> str | None:
    """Give the name of a clef, or None where it has none here."""
    return _NAMES.get((sign, line, octaves))
