"""What the player plays: voices with their tones, chords to light, bars to loop."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

from harmony.acoustics.spectrum import spectrum
from harmony.instruments.instrument import Instrument
from harmony.tables import read_toml
from harmony.units import midi_to_hz, quarters_to_json
from harmony.workbench.progression.work import Work

TABLE = "workbench/tones.toml"
STRUCK = "struck"
DYNAMIC = "mf"
PARTIALS = 12


@cache
def _tones() -> dict[str, Any]:
    return read_toml(TABLE)


def tone_of(instrument: Instrument) -> dict[str, Any]:
    """Give how an instrument's tones begin and fade at the desk."""
    kind = instrument.family if instrument.sustains else STRUCK
    tone = _tones().get(kind, _tones()[STRUCK])
    return {
        "sustains": instrument.sustains,
        "loudness": tone["loudness"],
        "attack_seconds": tone["attack_seconds"],
        "decay_seconds": tone["decay_seconds"] or _tones()[STRUCK]["decay_seconds"],
    }


@lru_cache(maxsize=2000)
def partials_of(family: str, midi: int) -> tuple[float, ...]:
    """Give the strengths of a note's partials, the strongest 1, as its register has them."""
    amplitudes = spectrum(family, DYNAMIC).amplitudes(midi_to_hz(midi), PARTIALS)
    return tuple(round(float(one), 3) for one in amplitudes)


def work_to_tune(work: Work) -> dict[str, Any]:
    """Give the shown alternative as the player's tune, times in quarters."""
    progression = work.problem.progression
    loudness = dict(work.choices.loudness)
    voices = []
    for place, voice in enumerate(work.problem.ensemble.voices):
        instrument = voice.player.instrument
        notes = [
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
