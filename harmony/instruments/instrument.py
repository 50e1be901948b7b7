"""Instruments: what is written, what sounds, and where a player is at ease."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument of the catalogue (data/instruments.csv).

    ``low``/``high`` bound the sounding range, ``easy_low``/``easy_high`` the
    sounding range that is comfortable. ``transposition`` is sounding minus
    written. ``clefs`` are MusicXML-style names, the usual one first (``treble``,
    ``bass``, ``alto``, ``tenor``, ``treble8vb``, ``bass8vb``, ``percussion``).
    ``strength`` is loudness in forte against one horn (Rimsky-Korsakov's
    equivalences), 0 where unknown. ``sustains`` is False for plucked and struck.
    """

    name: str
    family: str
    low: Pitch
    high: Pitch
    easy_low: Pitch
    easy_high: Pitch
    transposition: Interval = Interval(0, 0)
    clefs: tuple[str, ...] = ("treble",)
    staves: int = 1
    strength: float = 0.0
    sustains: bool = True
    abbreviation: str = ""
    sound: str = ""
    midi_program: int = 1

    def __post_init__(self) -> None:
        if not self.low.midi <= self.easy_low.midi <= self.easy_high.midi <= self.high.midi:
            raise HarmonyError(
                f"The ranges of {self.name} must run low, easy low, easy high, high."
            )


@dataclass(frozen=True, slots=True)
class Player:
    """How many of one instrument play from one line."""

    instrument: Instrument
    count: int = 1

    def __post_init__(self) -> None:
        if self.count < 1:
            raise HarmonyError(f"{self.instrument.name}: at least one player is needed.")
