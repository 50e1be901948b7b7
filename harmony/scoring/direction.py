"""What stands in a score beside the notes: words, dynamics, tempo, chords, keys."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.errors import HarmonyError
from harmony.pitch.key import Key

#: dynamic: text is the sign (``mf``); wedge: ``crescendo`` or ``diminuendo``;
#: octave: ``8va``, ``8vb``, ``15ma``, ``15mb``; pedal and dashes run to ``until``.
DIRECTION_KINDS = ("words", "dynamic", "wedge", "rehearsal", "octave", "pedal", "segno", "coda")
PLACES = ("above", "below")


@dataclass(frozen=True, slots=True)
class Direction:
    """A word or sign at a time, for a staff or for the whole score.

    ``kind`` is one of DIRECTION_KINDS; ``until`` ends a kind that lasts
    (a wedge, an octave line, a pedal); ``place`` is ``above`` or ``below``.
    """

    onset: Fraction
    kind: str
    text: str = ""
    place: str = "above"
    until: Fraction | None = None

    def __post_init__(self) -> None:
        if self.kind not in DIRECTION_KINDS:
            raise HarmonyError(
                f"{self.kind!r} is not a kind of direction; known are {', '.join(DIRECTION_KINDS)}."
            )
        if self.place not in PLACES:
            raise HarmonyError(f"A direction stands above or below the staff, not {self.place!r}.")
        if self.until is not None and self.until < self.onset:
            raise HarmonyError(f"The {self.kind} ends before it begins.")


@dataclass(frozen=True, slots=True)
class Tempo:
    """A speed from ``onset`` on, in quarters per minute, with its words.

    ``beat_quarters`` is the note value the mark is written with (1 a quarter,
    3/2 a dotted quarter). ``is_shown`` is False for a speed that sounds but is
    not printed.
    """

    onset: Fraction
    quarters_per_minute: float
    words: str = ""
    beat_quarters: Fraction = Fraction(1)
    is_shown: bool = True

    def __post_init__(self) -> None:
        if not 0 < self.quarters_per_minute < 10000:
            raise HarmonyError(
                f"{self.quarters_per_minute:g} quarters a minute is not a tempo; a number above 0"
                " is accepted."
            )


@dataclass(frozen=True, slots=True)
class Harmony:
    """A chord named in the score at ``onset``.

    ``chord`` is None for N.C.; ``symbol`` is the chord symbol to print above
    (empty: made from the chord); ``numeral`` the Roman numeral to print below.
    """

    onset: Fraction
    chord: Chord | None
    symbol: str = ""
    numeral: str = ""


@dataclass(frozen=True, slots=True)
class KeyChange:
    """A key signature from ``onset`` on, in concert pitch."""

    onset: Fraction
    key: Key
