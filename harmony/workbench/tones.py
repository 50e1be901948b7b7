"""How an instrument's tones sound at the desks: their partials, how they begin and fade."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

from harmony.acoustics.spectrum import spectrum
from harmony.instruments.instrument import Instrument
from harmony.tables import read_toml
from harmony.units import midi_to_hz

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
