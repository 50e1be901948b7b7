"""Parts and their staves."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.interval import UNISON, Interval
from harmony.scoring.clef import ClefChange
from harmony.scoring.direction import Direction
from harmony.scoring.event import Event
from harmony.scoring.ticks import common_divisions, fraction_to_ticks

_PERCUSSION = 9
GROUP_SYMBOLS = ("bracket", "brace", "square", "line", "none")


@dataclass(frozen=True, slots=True)
class Staff:
    """One staff: its events by time, its clefs (the first at 0) and its own directions.

    Within a voice no two events overlap; a gap is silence. ``lines`` is 5, or 1
    for rhythm alone.
    """

    events: tuple[Event, ...]
    clefs: tuple[ClefChange, ...] = (ClefChange(Fraction(0), "treble"),)
    directions: tuple[Direction, ...] = ()
    lines: int = 5

    def __post_init__(self) -> None:
        if not self.clefs or self.clefs[0].onset != 0:
            raise HarmonyError("A staff needs a clef from its first instant.")
        times = [event.onset for event in self.events]
        divisions = common_divisions([*times, *(event.duration for event in self.events)])
        ends: dict[int, int] = {}
        before = 0
        for event in self.events:
            onset = fraction_to_ticks(event.onset, divisions)
            if onset < before:
                raise HarmonyError("The events of a staff must be in order of time.")
            before = onset
            if onset < ends.get(event.voice, 0):
                raise HarmonyError(
                    f"Voice {event.voice} has two events at once, "
                    f"{float(event.onset):g} quarters in."
                )
            ends[event.voice] = onset + fraction_to_ticks(event.duration, divisions)

    @property
    def voices(self) -> tuple[int, ...]:
        """The numbers of the voices that have events, rising."""
        return tuple(sorted({event.voice for event in self.events}))

    def voice(self, number: int) -> tuple[Event, ...]:
        """Give the events of one voice."""
        return tuple(event for event in self.events if event.voice == number)

    @property
    def end(self) -> Fraction:
        """The time at which the last event stops."""
        return max((event.end for event in self.events), default=Fraction(0))


@dataclass(frozen=True, slots=True)
class Part:
    """One player's (or section's) part; its events are in concert pitch.

    ``transposition`` is sounding minus written, so a part in B flat has
    ``-M2``. ``midi_program`` counts from 1 (General MIDI); ``sound`` is a
    MusicXML sound id such as ``brass.french-horn``. ``sustains`` is False for
    plucked and struck instruments.
    """

    name: str
    staves: tuple[Staff, ...]
    abbreviation: str = ""
    instrument: str = ""
    transposition: Interval = UNISON
    midi_program: int = 1
    sound: str = ""
    sustains: bool = True

    def __post_init__(self) -> None:
        if not self.staves:
            raise HarmonyError(f"The part {self.name} has no staff.")
        if not 1 <= self.midi_program <= 128:
            raise HarmonyError(f"{self.midi_program} is not a General MIDI program (1 to 128).")

    @property
    def end(self) -> Fraction:
        """The time at which the last event stops."""
        return max(staff.end for staff in self.staves)


def midi_channel(part: Part, place: int) -> int:
    """Give the MIDI channel, from 0, of the part that stands at a place in a score.

    The tenth (9) is percussion's by General MIDI, and no other part's.
    """
    if any("unpitched" in event.marks for staff in part.staves for event in staff.events):
        return _PERCUSSION
    return place % 15 + (place % 15 >= _PERCUSSION)


@dataclass(frozen=True, slots=True)
class Group:
    """Neighbouring parts joined by a bracket: the indices of the first and last."""

    first: int
    last: int
    name: str = ""
    symbol: str = "bracket"
    abbreviation: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.first <= self.last:
            raise HarmonyError(f"The group {self.name} ends before it begins.")
        if self.symbol not in GROUP_SYMBOLS:
            raise HarmonyError(f"{self.symbol!r} joins no parts; use {', '.join(GROUP_SYMBOLS)}.")
