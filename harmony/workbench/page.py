"""The room a desk's notation is engraved for."""

from __future__ import annotations

USUAL_WIDTH = 1240
USUAL_UNITS = 2100  # verovio's units across a page of the usual width: a staff 42 pixels high
NARROWEST_UNITS = 1000


def page_units(width: int) -> int:
    """Give verovio's page width for a page ``width`` pixels wide.

    Half of what a wider screen adds goes into longer lines of music and half
    into larger notes.
    """
    return max(NARROWEST_UNITS, round(USUAL_UNITS * (width / USUAL_WIDTH) ** 0.5))
