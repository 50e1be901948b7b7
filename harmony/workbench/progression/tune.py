"""What the player plays: voices with their tones, chords to light, bars to loop."""

from __future__ import annotations

from typing import Any

from harmony.units import quarters_to_json
from harmony.workbench.bars import list_bars
from harmony.workbench.progression.work import Work
from harmony.workbench.tones import partials_of, tone_of


def work_to_tune(work: Work) -> dict[str, Any]:
    """Give the shown alternative as the player's tune, times in quarters."""
    progression = work.problem.progression
    loudness = dict(work.choices.loudness)
    voices = []
    for place, voice in enumerate(work.problem.ensemble.voices):
        instrument = voice.player.instrument
        given = next((one.line for one in work.shown.given if one.voice == place), None)
        notes = [
            [quarters_to_json(note.onset), quarters_to_json(note.duration), note.pitch.midi]
            for note in (given.sounding if given is not None else ())
            if note.pitch is not None and note.duration > 0
        ] or [
            [
                quarters_to_json(slot.onset),
                quarters_to_json(slot.duration),
                pitches[place].midi,
            ]
            for slot, pitches in zip(progression.slots, work.shown.pitches, strict=True)
            if pitches
        ]
        partials = {str(midi): partials_of(instrument.spectrum, midi) for _, _, midi in notes}
        tone = tone_of(instrument)
        tone["loudness"] *= 10.0 ** (loudness.get(voice.name, 0) / 20.0)
        voices.append({**tone, "partials": partials, "notes": notes})
    chords = [
        [number, quarters_to_json(slot.onset), quarters_to_json(slot.duration)]
        for number, slot in enumerate(progression.slots)
        if slot.chord is not None
    ]
    return {
        "voices": voices,
        "chords": chords,
        "bars": list_bars(progression.meters, progression.end),
        "end": quarters_to_json(progression.end),
    }
