"""Instruments: what is written, what sounds, and where a player is at ease."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.errors import HarmonyError
from harmony.pitch.interval import UNISON, Interval, transpose
from harmony.pitch.spelling import Pitch

#: Families in the order of a score, top first.
FAMILIES = ("woodwind", "brass", "percussion", "keyboard", "plucked", "voice", "strings")


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument of the catalogue (data/instruments.csv).

    ``low``/``high`` bound the sounding range, ``easy_low``/``easy_high`` the
    sounding range that is comfortable. ``transposition`` is sounding minus
    written. ``clefs`` are MusicXML-style names, the usual one first (``treble``,
    ``bass``, ``alto``, ``tenor``, ``treble8vb``, ``bass8vb``, ``percussion``).
    ``strength`` is loudness in forte against one horn (Rimsky-Korsakov's
    equivalences), 0 where unknown; ``section_strength`` is that of a whole
    section of strings, who are not reckoned singly. ``sustains`` is False for
    plucked and struck. ``spectrum`` names its row family in data/spectra.csv,
    ``score_place`` orders a score from the top. ``source`` says where the
    written range is from.
    """

    name: str
    family: str
    low: Pitch
    high: Pitch
    easy_low: Pitch
    easy_high: Pitch
    transposition: Interval = UNISON
    clefs: tuple[str, ...] = ("treble",)
    staves: int = 1
    strength: float = 0.0
    sustains: bool = True
    abbreviation: str = ""
    sound: str = ""
    midi_program: int = 1
    section_strength: float = 0.0
    spectrum: str = "plain"
    score_place: int = 0
    source: str = ""

    def __post_init__(self) -> None:
        if not self.low.midi <= self.easy_low.midi <= self.easy_high.midi <= self.high.midi:
            raise HarmonyError(
                f"The ranges of {self.name} must run low, easy low, easy high, high."
            )
        if self.family not in FAMILIES:
            raise HarmonyError(
                f"The family of {self.name}, {self.family!r}, is not one of {', '.join(FAMILIES)}."
            )
        if not self.clefs or self.staves < 1:
            raise HarmonyError(f"{self.name} needs at least one clef and one staff.")

    @property
    def written_low(self) -> Pitch:
        """The lowest note as the player reads it."""
        return self.to_written(self.low)

    @property
    def written_high(self) -> Pitch:
        """The highest note as the player reads it."""
        return self.to_written(self.high)

    def to_written(self, sounding: Pitch) -> Pitch:
        """Give the note a player reads for a sounding pitch.

        >>> from harmony.instruments.catalogue import instrument
        >>> str(instrument("horn").to_written(Pitch.from_text("Bb3")))
        'F4'
        """
        return transpose(sounding, -self.transposition)

    def to_sounding(self, written: Pitch) -> Pitch:
        """Give the pitch that sounds when a player reads ``written``."""
        return transpose(written, self.transposition)

    def has_in_range(self, sounding: Pitch) -> bool:
        """Say whether a sounding pitch lies in the range."""
        return self.low.midi <= sounding.midi <= self.high.midi

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Player:
    """How many of one instrument play from one line."""

    instrument: Instrument
    count: int = 1

    def __post_init__(self) -> None:
        if self.count < 1:
            raise HarmonyError(f"{self.instrument.name}: at least one player is needed.")

    @property
    def strength(self) -> float:
        """Loudness in forte against one horn, 0 where no source gives it.

        A section of strings counts as one body, as Rimsky-Korsakov reckons
        it; his equivalences say nothing of a single string player.
        """
        section = self.instrument.section_strength
        if section:
            return section if self.count > 1 else 0.0
        return self.instrument.strength * self.count
