"""The bars of what is played, as the player is told them to loop."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from harmony.pitch.meter import MeterMap
from harmony.units import quarters_to_json


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
