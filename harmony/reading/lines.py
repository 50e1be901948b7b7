"""The lines of a score: every voice as a run of single notes, tied notes joined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.pitch.spelling import Pitch
from harmony.scoring.event import Event
from harmony.scoring.score import Score

_STEPWISE = (1, 2)  # semitones


@dataclass(frozen=True, slots=True)
class LineNote:
    """A sounding note of one line."""

    onset: Fraction
    end: Fraction
    pitch: Pitch

    def is_step_from(self, other: LineNote | None) -> bool:
        """True a second away from a neighbour."""
        return other is not None and abs(self.pitch.midi - other.pitch.midi) in _STEPWISE


@dataclass(frozen=True, slots=True)
class Placed:
    """A note with its neighbours in the line, None across a rest."""

    note: LineNote
    before: LineNote | None
    after: LineNote | None


def score_to_lines(score: Score) -> list[list[Placed]]:
    """Give the lines of a score, top to bottom as they stand on the page.

    A voice written in chords gives a line for each of its notes, counted from the
    top. Grace notes, unpitched notes and empty lines are left out.
    """
    lines = []
    for part in score.parts:
        for staff in part.staves:
            for number in staff.voices:
                lines += [_with_neighbours(line) for line in _divide(staff.voice(number))]
    return [line for line in lines if line]


def _divide(events: Sequence[Event]) -> list[list[LineNote]]:
    """Divide a voice by rank from the top, joining ties."""
    lines: list[list[LineNote]] = []
    for event in events:
        if event.grace is not None or "unpitched" in event.marks:
            continue
        ties = event.tie_of
        in_order = sorted(event.pitches, key=lambda pitch: -pitch.midi)
        for rank, pitch in enumerate(in_order):
            if rank == len(lines):
                lines.append([])
            if ties.get(pitch) in ("stop", "continue") and _extend(lines, event, pitch):
                continue
            lines[rank].append(LineNote(event.onset, event.end, pitch))
    return lines


def _extend(lines: list[list[LineNote]], event: Event, pitch: Pitch) -> bool:
    for line in lines:
        if line and line[-1].pitch == pitch and line[-1].end == event.onset:
            line[-1] = LineNote(line[-1].onset, event.end, pitch)
            return True
    return False


def _with_neighbours(line: list[LineNote]) -> list[Placed]:
    placed = []
    for index, note in enumerate(line):
        before = line[index - 1] if index and line[index - 1].end == note.onset else None
        after = None
        if index + 1 < len(line) and line[index + 1].onset == note.end:
            after = line[index + 1]
        placed.append(Placed(note, before, after))
    return placed
