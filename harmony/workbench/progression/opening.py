"""What the desk opens with: the ground of the demo's piece."""

from __future__ import annotations

from harmony.workbench.progression.state import Choices

#: Eight chords, one a bar, that the whole of the demo's piece can stand on: a bass that
#: climbs from D to G through the Dorian fourth degree's major chord, then the Neapolitan.
TEXT = "6/8 d: i | VII6 | III | IV7 | VI7 | N6 | V7 | i"
ENSEMBLE = "string quartet"
QUARTERS_PER_MINUTE = 84


def opening_choices() -> Choices:
    """Give the choices the desk opens with."""
    return Choices(TEXT, ENSEMBLE)
