"""The score: one model for every writer and reader."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter, MeterMap
from harmony.scoring.direction import Direction, Harmony, KeyChange, Tempo
from harmony.scoring.part import Group, Part


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar as printed: where it begins, how long it is, what stands at its ends.

    ``number`` is the place in the score (0: a pickup), ``label`` the printed
    number where it differs. ``meter`` is the meter printed or in force. ``left``
    and ``right`` are MusicXML bar styles (``light-heavy``...) or empty;
    ``repeats`` holds ``forward`` and ``backward``; ``ending`` is the number of
    the ending the bar belongs to.
    """

    number: int
    onset: Fraction
    length: Fraction
    meter: Meter
    label: str = ""
    left: str = ""
    right: str = ""
    repeats: tuple[str, ...] = ()
    ending: str = ""

    @property
    def end(self) -> Fraction:
        """The time of the bar line after it."""
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Score:
    """A score in concert pitch.

    ``meters`` places bars in time. ``bars`` is empty for a regular score and
    otherwise gives every bar as printed (short bars, repeats, endings).
    ``keys`` and ``tempi`` rise in time. ``directions`` belong to all parts.
    ``source`` says where it came from; ``losses`` are sentences about what the
    file had and this score has not.
    """

    parts: tuple[Part, ...]
    meters: MeterMap
    tempi: tuple[Tempo, ...] = ()
    harmonies: tuple[Harmony, ...] = ()
    directions: tuple[Direction, ...] = ()
    keys: tuple[KeyChange, ...] = ()
    groups: tuple[Group, ...] = ()
    bars: tuple[Bar, ...] = ()
    title: str = ""
    composer: str = ""
    source: str = ""
    losses: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.parts:
            raise HarmonyError("A score needs at least one part.")
        if any(group.last >= len(self.parts) for group in self.groups):
            raise HarmonyError("A group of parts reaches beyond the last part.")
        for onsets in (
            [tempo.onset for tempo in self.tempi],
            [harmony.onset for harmony in self.harmonies],
            [change.onset for change in self.keys],
        ):
            if onsets != sorted(onsets):
                raise HarmonyError("Tempi, chord names and keys must be in order of time.")
        for before, after in zip(self.bars, self.bars[1:], strict=False):
            if before.end != after.onset:
                raise HarmonyError(
                    f"Bar {after.number} does not begin where bar {before.number} ends."
                )

        if self.bars and (self.bars[0].onset != 0 or self.bars[-1].end < self.end):
            raise HarmonyError("The bars of a score must reach from its start to its last note.")

    @property
    def end(self) -> Fraction:
        """The time at which the last event stops."""
        return max(part.end for part in self.parts)

    @property
    def all_bars(self) -> tuple[Bar, ...]:
        """Every bar through the last event, at least one."""
        if self.bars:
            return self.bars
        numbers = self.meters.bars_through(self.end) or range(1, 2)
        return tuple(
            Bar(
                number,
                self.meters.bar_start(number),
                self.meters.bar_length(number),
                self.meters.meter_at(number),
            )
            for number in numbers
        )

    def key_at(self, onset: Fraction) -> Key | None:
        """Give the key in force at a time, or None before the first."""
        found = None
        for change in self.keys:
            if change.onset > onset:
                break
            found = change.key
        return found

    def part_index(self, name: str) -> int:
        """Give the place of a part by its name, or by its number counted from 1."""
        wanted = name.strip().casefold()
        for index, part in enumerate(self.parts):
            if part.name.casefold() == wanted:
                return index
        if wanted.isdecimal() and len(wanted) < 10 and 1 <= int(wanted) <= len(self.parts):
            return int(wanted) - 1
        raise HarmonyError(
            f"The score has no part called {name.strip()!r}; it has {self.name_parts()}."
        )

    def name_parts(self) -> str:
        """Name the parts in a row, as they may be asked for; one without a name by its number."""
        return ", ".join(part.name or str(i) for i, part in enumerate(self.parts, start=1))
