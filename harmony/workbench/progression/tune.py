"""What the player plays: voices with their tones, chords to light, bars to loop."""

from __future__ import annotations

from functools import cache
from typing import Any

from harmony.instruments.instrument import Instrument
from harmony.tables import read_toml
from harmony.units import quarters_to_json
from harmony.workbench.progression.work import Work

TABLE = "workbench/tones.toml"
_BY_FAMILY = {"voice": "voice", "strings": "strings", "brass": "brass", "woodwind": "woodwind"}
_STRUCK = "struck"


@cache
def tone_of(instrument: Instrument) -> dict[str, Any]:
    """Give the tone an instrument is heard with at the desk."""
    tones = read_toml(TABLE)
    if not instrument.sustains:
        name = _STRUCK
    elif "clarinet" in instrument.name:
        name = "clarinet"
    else:
        name = _BY_FAMILY.get(instrument.family, _STRUCK)
    return {key: value for key, value in tones[name].items() if key != "source"}


def work_to_tune(work: Work) -> dict[str, Any]:
    """Give the shown alternative as the player's tune, times in quarters."""
    progression = work.problem.progression
    voices = []
    for place, voice in enumerate(work.problem.ensemble.voices):
        notes = [
            [
                quarters_to_json(slot.onset),
                quarters_to_json(slot.duration),
                pitches[place].midi,
            ]
            for slot, pitches in zip(progression.slots, work.shown.pitches, strict=True)
            if pitches
        ]
        voices.append({**tone_of(voice.player.instrument), "notes": notes})
    meters = progression.meters
    bars = [
        {
            "number": number,
            "start": quarters_to_json(meters.bar_start(number)),
            "end": quarters_to_json(meters.bar_start(number) + meters.bar_length(number)),
        }
        for number in meters.bars_through(progression.end)
    ]
    chords = [
        [number, quarters_to_json(slot.onset), quarters_to_json(slot.duration)]
        for number, slot in enumerate(progression.slots)
        if slot.chord is not None
    ]
    return {
        "voices": voices,
        "chords": chords,
        "bars": bars,
        "end": quarters_to_json(progression.end),
    }
