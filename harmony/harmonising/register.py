"""Which octave a line lies in: where most of it is in a voice's register."""

from __future__ import annotations

from dataclasses import replace

from harmony.errors import HarmonyError
from harmony.harmonising.lines import BASS, INNER
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.pitch.line import Line
from harmony.pitch.theme import Theme

#: On whose staves chords are written, and where a bass or an inner voice lies on them.
PLAYED_BY = "piano"
LIES_IN = {BASS: "Left hand", INNER: "Right hand 3"}


def fit_to_voice(theme: Theme, ensemble: str, voice: str) -> Theme:
    """Give the tune in the octave in which most of it lies in a voice's register.

    Raises
    ------
    HarmonyError
        If these players have no such voice.
    """
    players = find_ensemble(ensemble)
    own = next((one for one in players.voices if one.name == voice), None)
    if own is None:
        names = ", ".join(one.name for one in players.voices)
        raise HarmonyError(f"{ensemble} has no voice {voice!r}; it has {names}.", where=voice)
    numbers = [note.pitch.midi for note in theme.line.sounding if note.pitch is not None]

    def strain(octaves: int) -> tuple[int, int]:
        moved = [number + 12 * octaves for number in numbers]
        return sum(not own.low.midi <= one <= own.high.midi for one in moved), abs(octaves)

    octaves = min(range(-4, 5), key=strain)
    notes = tuple(
        note
        if note.pitch is None
        else replace(note, pitch=replace(note.pitch, octave=note.pitch.octave + octaves))
        for note in theme.line
    )
    return replace(theme, line=Line(notes))


def say_octaves(written: Theme, placed: Theme) -> str:
    """Say by how many octaves a tune was moved to lie in its voice; empty for none."""
    before = next((note.pitch for note in written.line.sounding), None)
    after = next((note.pitch for note in placed.line.sounding), None)
    octaves = 0 if before is None or after is None else after.octave - before.octave
    if not octaves:
        return ""
    count = f"{abs(octaves)} octave{'s' if abs(octaves) > 1 else ''}"
    return f"It lies {count} {'lower' if octaves < 0 else 'higher'} than written."
