"""What an ABC tune must be before it is parsed: numbers of a size that music has.

The parser writes every bar and every repeated rest out, so a slip of the finger
in a number could keep it at work for hours.
"""

from __future__ import annotations

import re

from harmony.errors import HarmonyError

MOST_BEATS = 64
_LONG_NUMBER = re.compile(r"[A-Ga-gzxZX(/\])][,']*(\d{4,})")
_NOT_ASCII = re.compile(r"[^\x00-\x7f]")
_FIELD = re.compile(r"([A-Za-z]):(.*)")
_INNER_FIELD = re.compile(r"\[([A-Za-z]):([^\]]*)\]")
_FRACTION = re.compile(r"(-?\d+)\s*/\s*(-?\d+)")
_SAID = re.compile(r'"[^"]*"|![^!]*!|%.*')


def check_abc(text: str, *, name: str) -> None:
    """Refuse meters, note lengths and counts far beyond music.

    Raises
    ------
    HarmonyError
        With the line at fault.
    """
    for number, line in enumerate(text.splitlines(), start=1):
        field = _FIELD.match(line)
        fields = [field.groups()] if field else _INNER_FIELD.findall(line)
        for letter, value in fields:
            if letter in "ML":
                _check_fraction(letter, value, f"line {number} of {name}")
        if field is None:
            _check_music(_SAID.sub("", line), f"line {number} of {name}")


def _check_music(music: str, place: str) -> None:
    found = _LONG_NUMBER.search(music)
    if found is not None:
        raise HarmonyError(
            f"{found[1]} in {place} is no length of a note or rest; numbers up to 999 are"
            " accepted.",
            where=place,
        )
    odd = _NOT_ASCII.search(music)
    if odd is not None:
        raise HarmonyError(
            f"{odd[0]!r} in {place} is no note; notes are A to G and a to g, rests z.", where=place
        )


def _check_fraction(letter: str, value: str, place: str) -> None:
    found = _FRACTION.search(value)
    if found is None:
        return
    above, below = int(found[1]), int(found[2])
    if letter == "M" and not (1 <= above <= MOST_BEATS and 1 <= below <= MOST_BEATS):
        raise HarmonyError(
            f"The meter {found[0]} in {place} is none; such as 3/4 or 12/8 is accepted, with up"
            f" to {MOST_BEATS} beats.",
            where=place,
        )
    if letter == "L" and not (0 < above <= below <= 128):
        raise HarmonyError(
            f"The note length {found[0]} in {place} is none; such as 1/4 or 1/8 is accepted.",
            where=place,
        )
