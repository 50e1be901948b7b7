"""Notes: a pitch or a rest, placed in exact time."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch

TIES = (None, "start", "continue", "stop")


@dataclass(frozen=True, slots=True)
class Note:
    """A note or, without a pitch, a rest. Onset and duration are in quarters.

    ``tie`` is None, ``start``, ``continue`` or ``stop``; ``marks`` are MusicXML
    names of what stands at the note (``staccato``, ``fermata``, ``slur-start``).
    A duration of 0 is a grace note.
    """

    onset: Fraction
    duration: Fraction
    pitch: Pitch | None
    tie: str | None = None
    marks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not isinstance(self.onset, Fraction) or not isinstance(self.duration, Fraction):
            raise HarmonyError("A note's onset and duration must be exact fractions of a quarter.")
        if self.onset < 0 or self.duration < 0:
            raise HarmonyError("A note cannot begin before time 0 or last less than nothing.")
        if self.tie not in TIES:
            raise HarmonyError(f"{self.tie!r} is not a tie; it is start, continue, stop or None.")

    @property
    def end(self) -> Fraction:
        """The time at which the note stops."""
        return self.onset + self.duration

    @property
    def is_rest(self) -> bool:
        """True without a pitch."""
        return self.pitch is None

    def transposed(self, interval: Interval) -> Note:
        """Give the note moved by a spelled interval (a rest stays)."""
        return self if self.pitch is None else replace(self, pitch=transpose(self.pitch, interval))

    def moved(self, quarters: Fraction) -> Note:
        """Give the note later by ``quarters`` (earlier below 0)."""
        return replace(self, onset=self.onset + quarters)
