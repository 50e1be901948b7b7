"""Lines that are given: a melody, a bass, in their own rhythm against the chords."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.line import Line
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme

if TYPE_CHECKING:
    from harmony.scoring.score import Score

Given: TypeAlias = "Line | Theme | Score | str | Path"


@dataclass(frozen=True, slots=True)
class GivenLine:
    """A line given to a voice (counted from the top).

    `ruling[slot]` is the pitch that counts for the voicing of each chord, None
    where the line rests.
    """

    voice: int
    line: Line
    ruling: tuple[Pitch | None, ...]


def read_melody(
    melody: Given | Mapping[str, Given] | None, progression: Progression, ensemble: Ensemble
) -> tuple[GivenLine, ...]:
    """Read what is given: one line for the highest voice, or a mapping of voices to lines.

    A line is a Line, a Theme, a Score (its first part) or the path of a score.
    Raises HarmonyError for an unknown voice or a file that cannot be read.
    """
    if melody is None:
        return ()
    lines = melody if isinstance(melody, Mapping) else {ensemble.voices[0].name: melody}
    return tuple(
        _give(ensemble.voice_index(name), _as_line(given), progression)
        for name, given in lines.items()
    )


def _as_line(given: Given) -> Line:
    if isinstance(given, Line):
        return given
    if isinstance(given, Theme):
        return given.line
    # Most progressions come without a melody, and start faster without the score model.
    from harmony.scoring.build import part_to_line
    from harmony.scoring.score import Score

    if isinstance(given, Score):
        return part_to_line(given.parts[0])
    if isinstance(given, str | Path):
        from harmony.reading.opening import read

        return part_to_line(read(given).parts[0])
    raise HarmonyError(f"{given!r} is not a melody; give a line, a theme or the path of a score.")


def _give(voice: int, line: Line, progression: Progression) -> GivenLine:
    ruling = tuple(
        None
        if slot.chord is None
        else ruling_pitch(
            line,
            slot.onset,
            slot.duration,
            slot.chord.pitch_classes,
        )
        for slot in progression.slots
    )
    return GivenLine(voice, line, ruling)


def ruling_pitch(
    line: Line, onset: Fraction, duration: Fraction, pitch_classes: frozenset[int]
) -> Pitch | None:
    """The note of a line that counts while a chord sounds.

    Of the chord's own notes the one that sounds longest, the earlier of equals;
    where the line has none of them, its longest note, which then stands as a note
    foreign to the chord.  None where the line rests throughout.
    """
    end = onset + duration
    lengths: dict[Pitch, Fraction] = {}
    for note in line.sounding:
        overlap = min(note.end, end) - max(note.onset, onset)
        if note.pitch is not None and overlap > 0:
            lengths[note.pitch] = lengths.get(note.pitch, Fraction(0)) + overlap
    if not lengths:
        return None
    own = {pitch: time for pitch, time in lengths.items() if pitch.pitch_class in pitch_classes}
    choice = own or lengths
    return max(choice, key=lambda pitch: choice[pitch])
