"""Events: notes, chords and rests of one voice on one staff."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.note import TIES
from harmony.pitch.spelling import Pitch
from harmony.scoring.mark import is_mark

SYLLABLES = ("single", "begin", "middle", "end")


@dataclass(frozen=True, slots=True)
class Lyric:
    """One syllable under a note.

    ``syllable`` is ``single``, ``begin``, ``middle`` or ``end`` of its word;
    ``verse`` counts from 1; ``extends`` draws the line of a melisma.
    """

    text: str
    syllable: str = "single"
    verse: int = 1
    extends: bool = False

    def __post_init__(self) -> None:
        if self.syllable not in SYLLABLES:
            raise HarmonyError(
                f"{self.syllable!r} is no place in a word; use {', '.join(SYLLABLES)}."
            )


@dataclass(frozen=True, slots=True)
class Tuplet:
    """``actual`` notes in the time of ``normal``: a triplet is ``Tuplet(3, 2)``."""

    actual: int
    normal: int

    def __post_init__(self) -> None:
        if self.actual < 1 or self.normal < 1:
            raise HarmonyError(f"{self.actual} in the time of {self.normal} is not a tuplet.")


@dataclass(frozen=True, slots=True)
class Grace:
    """How a grace note is written: its value in quarters, and whether it is slashed."""

    written: Fraction = Fraction(1, 2)
    slashed: bool = True


@dataclass(frozen=True, slots=True)
class Event:
    """A note, a chord or (without pitches) a rest.

    ``onset`` and ``duration`` are quarters from the first instant of the score
    and may run over bar lines; writers divide and tie. ``pitches`` sound (concert
    pitch), lowest first by habit, in any order in fact. ``ties`` is empty or has
    None, ``start``, ``continue`` or ``stop`` for each pitch, towards the
    neighbouring events. ``slurs`` are ("start" or "stop", number). ``marks`` are
    MusicXML's names of what stands at the note (``staccato``, ``fermata``,
    ``up-bow``, ``trill-mark``); ``unpitched`` among them marks percussion whose
    pitch is only a place on the staff. A grace note has ``grace`` and no duration.
    ``id`` names the event in every written form; it holds no full stop.
    """

    onset: Fraction
    duration: Fraction
    pitches: tuple[Pitch, ...] = ()
    voice: int = 1
    ties: tuple[str | None, ...] = ()
    slurs: tuple[tuple[str, int], ...] = ()
    marks: tuple[str, ...] = ()
    lyrics: tuple[Lyric, ...] = ()
    tuplet: Tuplet | None = None
    grace: Grace | None = None
    id: str = ""

    def __post_init__(self) -> None:
        if self.onset < 0 or self.duration < 0:
            raise HarmonyError("An event cannot begin before time 0 or last less than nothing.")
        if (self.duration == 0) is (self.grace is None):
            raise HarmonyError("A grace note has no length of its own; every other event has one.")
        if self.ties and (len(self.ties) != len(self.pitches) or not set(self.ties) <= set(TIES)):
            raise HarmonyError("Ties are given for each pitch as start, continue, stop or None.")
        if self.voice < 1:
            raise HarmonyError(f"{self.voice} is not the number of a voice; voices count from 1.")
        for mark in self.marks:
            if not is_mark(mark):
                raise HarmonyError(f"{mark!r} is not a mark known here; use MusicXML's names.")
        if "." in self.id:
            raise HarmonyError(f"{self.id!r} cannot name an event: it holds a full stop.")

    @property
    def end(self) -> Fraction:
        """The time at which the event stops."""
        return self.onset + self.duration

    @property
    def is_rest(self) -> bool:
        """True without a pitch."""
        return not self.pitches

    @property
    def tie_of(self) -> dict[Pitch, str]:
        """The ties by pitch, without the pitches that have none."""
        return {p: tie for p, tie in zip(self.pitches, self.ties, strict=False) if tie}


def event_of_id(written_id: str) -> str:
    """Give the event's id behind the id of a written note.

    Writers name the first written note of an event by the event's own id and
    the others (further pitches, pieces after a bar line) by the same id, a full
    stop and more.

    >>> event_of_id("s3v1.2")
    's3v1'
    """
    return written_id.partition(".")[0]
