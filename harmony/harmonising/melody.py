"""A melody as the harmoniser sees it: its notes, key, phrases and repetitions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.harmonising.phrases import (
    MelodicSequence,
    Parallel,
    Phrase,
    cut_phrases,
    find_parallels,
    find_phrase_ends,
    find_sequences,
)
from harmony.pitch.key import Key
from harmony.pitch.keyfinding import KeyReading, find_key
from harmony.pitch.note import Note
from harmony.pitch.theme import Theme

LONGEST_BARS = 300
_FINEST = 96  # parts of a quarter; finer onsets come from unquantised playing
_SLOW = 66  # quarters a minute at or below which a tune does not move as hymns do


@dataclass(frozen=True, slots=True)
class Melody:
    """A theme analysed.

    ``notes`` are the sounding notes, ties joined; ``key`` is the key it is
    harmonised in and ``runner_up`` the next likely (None where the composer set
    the key); ``is_key_given`` says who chose. ``climax`` is the time of the highest
    note. All of it can be corrected by the composer and given again.
    """

    theme: Theme
    notes: tuple[Note, ...]
    key: Key
    runner_up: Key | None
    is_key_given: bool
    phrases: tuple[Phrase, ...]
    sequences: tuple[MelodicSequence, ...]
    parallels: tuple[Parallel, ...]
    climax: Fraction

    @property
    def end(self) -> Fraction:
        """When the last note stops."""
        return self.notes[-1].end


def analyse(
    theme: Theme, *, key: Key | None = None, phrase_ends: Sequence[Fraction] | None = None
) -> Melody:
    """Analyse a theme.

    Parameters
    ----------
    theme
        One line of notes.
    key
        The key, if the composer says it; else the theme's own where it names a
        mode, else found.
    phrase_ends
        Times in quarters at which phrases end; else the theme's own, else found.

    Raises
    ------
    HarmonyError
        For a melody too long to be one, or with notes off any grid.
    """
    notes = theme.line.sounding
    notes = tuple(note for note in notes if note.duration > 0)
    if not notes:
        raise HarmonyError("The melody has only grace notes; notes with a length are accepted.")
    _check(theme, notes)
    ends = tuple(phrase_ends) if phrase_ends is not None else theme.phrase_ends
    # A mark on the very last note alone tells nothing of the phrases before it.
    if not ends or (phrase_ends is None and ends == (notes[-1].end,)):
        ends = find_phrase_ends(notes, theme.meters, is_slow=is_slow(theme))
    reading = _read_key(theme, notes, ends)
    phrases = cut_phrases(notes, ends)
    climax = max(notes, key=lambda note: (_height(note), -note.onset))
    return Melody(
        theme,
        notes,
        key if key is not None else reading.key,
        None if key is not None else reading.runner_up,
        key is not None,
        phrases,
        find_sequences(notes, theme.meters),
        find_parallels(notes, phrases),
        climax.onset,
    )


def is_slow(theme: Theme) -> bool:
    """True for a theme marked so slow that it does not move as hymns do."""
    tempo = theme.quarters_per_minute
    return tempo is not None and tempo <= _SLOW


def in_key(melody: Melody, key: Key) -> Melody:
    """Give the same melody read in another key."""
    return replace(melody, key=key)


def _height(note: Note) -> int:
    assert note.pitch is not None
    return note.pitch.midi


def _read_key(theme: Theme, notes: Sequence[Note], ends: Sequence[Fraction]) -> KeyReading:
    """The key a theme names, or what is found where it says only its signature.

    A signature without a mode is read as major, so a theme in major is rated
    again: its signature may as well be that of a minor key.
    """
    given = theme.key
    found = find_key(notes, ends, signature=None if given is None else given.fifths)
    if given is None or given.mode == "major":
        return found
    other = found.key if found.key != given else found.runner_up
    return KeyReading(given, other, found.margin)


def _check(theme: Theme, notes: Sequence[Note]) -> None:
    bars = len(theme.meters.bars_through(notes[-1].end))
    if bars > LONGEST_BARS:
        raise HarmonyError(
            f"The melody has {bars} bars; up to {LONGEST_BARS} are harmonised at once, so choose"
            " a stretch of bars."
        )
    for note in notes:
        if note.onset.denominator > _FINEST:
            bar, beat = theme.meters.locate(note.onset)
            raise HarmonyError(
                f"The note in bar {bar} near beat {float(beat):.2f} is on no beat or division of"
                " one; quantise the melody first.",
                where=f"bar {bar} beat {float(beat):.2f}",
            )
