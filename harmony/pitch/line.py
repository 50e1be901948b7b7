"""Lines: one note after another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.note import Note


@dataclass(frozen=True, slots=True)
class Line:
    """Notes and rests of one voice, in order, never two at once."""

    notes: tuple[Note, ...]
    _sounding: tuple[Note, ...] | None = field(default=None, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        end = Fraction(0)
        for note in self.notes:
            if note.onset < end:
                raise HarmonyError(
                    f"Two notes sound at once {float(note.onset):g} quarters in; a line has one."
                )
            end = note.end

    def __iter__(self) -> Iterator[Note]:
        return iter(self.notes)

    def __len__(self) -> int:
        return len(self.notes)

    @property
    def start(self) -> Fraction:
        """When the first note or rest begins."""
        return self.notes[0].onset if self.notes else Fraction(0)

    @property
    def end(self) -> Fraction:
        """When the last note or rest stops."""
        return self.notes[-1].end if self.notes else Fraction(0)

    @property
    def sounding(self) -> tuple[Note, ...]:
        """The notes without the rests, tied notes joined into one."""
        if self._sounding is None:  # asked for again and again, so it is kept
            object.__setattr__(self, "_sounding", tuple(self._join_ties()))
        assert self._sounding is not None
        return self._sounding

    def _join_ties(self) -> list[Note]:
        joined: list[Note] = []
        for note in self.notes:
            if note.pitch is None:
                continue
            last = joined[-1] if joined else None
            if (
                last is not None
                and note.tie in ("continue", "stop")
                and last.end == note.onset
                and last.pitch == note.pitch
            ):
                length = last.duration + note.duration
                joined[-1] = Note(last.onset, length, last.pitch, None, last.marks)
            elif note.tie is None:
                joined.append(note)
            else:
                joined.append(Note(note.onset, note.duration, note.pitch, None, note.marks))
        return joined

    def transposed(self, interval: Interval) -> Line:
        """Give the line moved by a spelled interval."""
        return Line(tuple(note.transposed(interval) for note in self.notes))

    def moved(self, quarters: Fraction) -> Line:
        """Give the line later by ``quarters``."""
        return Line(tuple(note.moved(quarters) for note in self.notes))

    def between(self, start: Fraction, end: Fraction) -> Line:
        """Give the notes that begin in [start, end), cut at ``end``, at their own times."""
        return Line(
            tuple(
                Note(note.onset, min(note.end, end) - note.onset, note.pitch, note.tie, note.marks)
                for note in self.notes
                if start <= note.onset < end
            )
        )
