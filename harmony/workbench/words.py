"""What the desk says: notes, costs and results in a composer's words."""

from __future__ import annotations

import re
from fractions import Fraction

from harmony.pitch.spelling import Pitch
from harmony.units import quarters_to_json

_ALTERATIONS = {
    -3: " triple flat",
    -2: " double flat",
    -1: " flat",
    0: "",
    1: " sharp",
    2: " double sharp",
    3: " triple sharp",
}
_NAME = re.compile(r"\b([A-G])(##|#|bb|b)(?![a-z])")
_DRAWN = {"#": "♯", "##": "\U0001d12a", "b": "♭", "bb": "\U0001d12b"}
_SIGNS = {-2: "\U0001d12b", -1: "♭", 0: "", 1: "♯", 2: "\U0001d12a"}


def speak_pitch(pitch: Pitch) -> str:
    """Say a pitch: ``G flat 4``."""
    named = _ALTERATIONS.get(pitch.alter, f" altered by {pitch.alter}")
    return f"{pitch.letter}{named} {pitch.octave}"


def write_pitch(pitch: Pitch) -> str:
    """Write a pitch with its sign: ``G♭4``."""
    sign = _SIGNS.get(pitch.alter, "♯" * pitch.alter if pitch.alter > 0 else "♭" * -pitch.alter)
    return f"{pitch.letter}{sign}{pitch.octave}"


def write_signs(sentence: str) -> str:
    """Write the note names in a sentence with their signs: ``C# and Bb3`` as ``C♯ and B♭3``."""
    return _NAME.sub(lambda found: found[1] + _DRAWN[found[2]], sentence)


def write_cost(cost: float) -> str:
    """Write a cost with one decimal, whole where it is whole."""
    rounded = round(cost, 1)
    digits = f"{abs(rounded):.0f}" if rounded == int(rounded) else f"{abs(rounded):.1f}"
    return f"\u2212{digits}" if rounded < 0 else digits


def write_more(cost: float) -> str:
    """Write what something costs more (or less) than what it is set against: ``+1.5``."""
    rounded = round(cost, 1)
    if rounded == 0:
        return "no dearer"
    sign = "+" if rounded > 0 else "\u2212"
    return f"{sign}{write_cost(abs(rounded))}"


def write_beat(beat: Fraction) -> str:
    """Write a beat: 2, 2.5."""
    value = quarters_to_json(beat)
    return f"{value:.3g}" if isinstance(value, float) else str(value)


def count_notes(count: int) -> str:
    """Write how many notes differ: ``1 note differs``, ``6 notes differ``."""
    return "1 note differs" if count == 1 else f"{count} notes differ"
