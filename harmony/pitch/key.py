"""Keys and modes: tonic, scale, signature."""

from __future__ import annotations

import re
from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.pitch.interval import MAJOR_FIFTHS
from harmony.pitch.spelling import PitchName

#: mode -> fifths of its signature against the major key on the same tonic.
MODE_FIFTHS = {
    "lydian": 1,
    "major": 0,
    "ionian": 0,
    "mixolydian": -1,
    "dorian": -2,
    "minor": -3,
    "aeolian": -3,
    "phrygian": -4,
    "phrygian dominant": -4,
    "locrian": -5,
}
_MINOR_THIRD_MODES = frozenset({"dorian", "minor", "aeolian", "phrygian", "locrian"})
_NAMED = re.compile(r"\s*([A-Ga-g])([#b♯♭]*)\s*([A-Za-z ]*?)\s*")


@dataclass(frozen=True, slots=True)
class Key:
    """A key: its tonic's name and its mode (``major``, ``minor``, ``dorian``...)."""

    tonic: PitchName
    mode: str = "major"

    def __post_init__(self) -> None:
        if self.mode not in MODE_FIFTHS:
            raise HarmonyError(
                f"{self.mode!r} is not a mode known here; known are {', '.join(MODE_FIFTHS)}."
            )

    @classmethod
    def from_text(cls, text: str) -> Key:
        """Read ``D``, ``d`` (minor), ``Abb``, ``D major``, ``D minor``, ``Ddor``, ``Dm``.

        >>> Key.from_text("Ddor").fifths
        0
        """
        match = _NAMED.fullmatch(text.strip().rstrip(":"))
        if match is None:
            raise HarmonyError(f"{text!r} is not a key; write D, d (minor), Ebmaj or D dorian.")
        word = match[3].lower()
        tonic = PitchName.from_text(match[1].upper() + match[2])
        if not word:
            return cls(tonic, "major" if match[1].isupper() else "minor")
        if match[3] == "M":
            return cls(tonic, "major")
        mode = _find_mode(word)
        if mode is None:
            raise HarmonyError(
                f"{text!r} is not a key: {match[3]!r} is no mode;"
                f" known are {', '.join(MODE_FIFTHS)}."
            )
        return cls(tonic, mode)

    @property
    def fifths(self) -> int:
        """The signature: sharps above 0, flats below."""
        return self.tonic.fifths + MODE_FIFTHS[self.mode]

    @property
    def is_minor(self) -> bool:
        """True where the scale has a minor third above the tonic."""
        return self.mode in _MINOR_THIRD_MODES

    @property
    def scale(self) -> tuple[PitchName, ...]:
        """The seven names of the scale from the tonic up (natural minor for minor)."""
        return tuple(self.degree(number) for number in range(1, 8))

    def degree(self, number: int, alter: int = 0) -> PitchName:
        """Give the name of scale degree ``number`` (1 to 7), altered by semitones."""
        if not 1 <= number <= 7:
            raise HarmonyError(f"{number} is not a scale degree; degrees are 1 to 7.")
        shift = MODE_FIFTHS[self.mode]
        place = MAJOR_FIFTHS[number - 1]
        if shift == 1:
            place += 7 if number == 4 else 0
        else:
            place -= 7 if _flat_order(number) <= -shift else 0
        if self.mode == "phrygian dominant" and number == 3:
            place += 7
        return PitchName.from_fifths(self.tonic.fifths + place + 7 * alter)

    def __str__(self) -> str:
        if self.mode == "major":
            return str(self.tonic)
        if self.mode == "minor":
            return self.tonic.letter.lower() + str(self.tonic)[1:]
        return f"{self.tonic} {self.mode}"


def _find_mode(word: str) -> str | None:
    """Find the mode of a word: its name, or three letters and more of its beginning."""
    if word == "m":
        return "minor"
    if word in MODE_FIFTHS:
        return word
    found = [mode for mode in MODE_FIFTHS if mode.startswith(word)] if len(word) >= 3 else []
    return found[0] if found else None


def _flat_order(number: int) -> int:
    """Say which flat of the darkening modes lowers a degree: 7 first, then 3 6 2 5 1 4."""
    return (7, 3, 6, 2, 5, 1, 4).index(number) + 1
