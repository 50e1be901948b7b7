"""What the player plays: voices with their tones, columns to light, bars to loop.

Times are quarters, as :class:`harmony.workbench.parts.player.Player` takes them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from harmony.instruments.instrument import Instrument
from harmony.pitch.line import Line
from harmony.pitch.meter import MeterMap
from harmony.pitch.spelling import Pitch
from harmony.units import quarters_to_json
from harmony.workbench.tones import partials_of, tone_of

Sounding = list[Any]  # onset, duration, MIDI number


def sound_note(onset: Fraction, duration: Fraction, pitch: Pitch) -> Sounding:
    """Give a note as it is played."""
    return [quarters_to_json(onset), quarters_to_json(duration), pitch.midi]


def sound_line(line: Line) -> list[Sounding]:
    """Give the notes of a line as they are played, grace notes left out."""
    return [
        sound_note(note.onset, note.duration, note.pitch)
        for note in line.sounding
        if note.pitch is not None and note.duration > 0
    ]


def build_voice(
    player: Instrument, notes: Sequence[Sounding], *, share: float = 1.0
) -> dict[str, Any]:
    """Give a voice of an instrument; ``share`` is its loudness beside the usual one."""
    tone = tone_of(player)
    partials = {str(midi): partials_of(player.spectrum, midi) for _, _, midi in notes}
    return {**tone, "loudness": tone["loudness"] * share, "partials": partials, "notes": notes}


def build_tune(
    voices: list[dict[str, Any]],
    columns: Iterable[tuple[int, Fraction, Fraction]],
    *,
    meters: MeterMap,
    end: Fraction,
) -> dict[str, Any]:
    """Give all that is played; ``columns`` are (number, onset, duration) of what lights up."""
    return {
        "voices": voices,
        "chords": [
            [number, quarters_to_json(onset), quarters_to_json(duration)]
            for number, onset, duration in columns
        ],
        "bars": list_bars(meters, end),
        "end": quarters_to_json(end),
    }


def list_bars(meters: MeterMap, end: Fraction) -> list[dict[str, Any]]:
    """Give number, start and end in quarters of every bar up to ``end``."""
    return [
        {
            "number": bar,
            "start": quarters_to_json(meters.bar_start(bar)),
            "end": quarters_to_json(meters.bar_start(bar) + meters.bar_length(bar)),
        }
        for bar in meters.bars_through(end)
    ]
