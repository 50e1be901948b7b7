"""What an ABC tune must be before it is parsed: numbers of a size that music has.

The parser writes every bar and every repeated rest out, so a slip of the finger
in a number could keep it at work for hours.
"""

from __future__ import annotations

import re
from fractions import Fraction

from harmony.errors import HarmonyError

MOST_BEATS = 64
MOST_NOTES_OF_A_BAR = 100
MOST_QUARTERS_OF_A_BAR = 64
_LONG_NUMBER = re.compile(r"[A-Ga-gzxZX(/\])][,']*(\d{4,})")
_NOT_ASCII = re.compile(r"[^\x00-\x7f]")
_FIELD = re.compile(r"([A-Za-z]):(.*)")
_INNER_FIELD = re.compile(r"\[([A-Za-z]):([^\]]*)\]")
_FRACTION = re.compile(r"(-?\d+)\s*/\s*(-?\d+)")
_SAID = re.compile(r'"[^"]*"|![^!]*!|\{[^}]*\}|%.*')
_BAR_LINE = re.compile(r"[:|\]]*\|[:|\]]*|::")
_CHORD = re.compile(r"\[([^\[\]|:]*)\]")
_NOTE = re.compile(r"[A-Ga-gzx][,']*(\d*)(/*)(\d*)")
_USUAL_LENGTH = Fraction(1, 8)


def check_abc(text: str, *, name: str) -> None:
    """Refuse meters, note lengths and counts far beyond music.

    Raises
    ------
    HarmonyError
        With the line at fault.
    """
    unit, bars = _USUAL_LENGTH, _Bars()
    for number, line in enumerate(text.splitlines(), start=1):
        place = f"line {number} of {name}"
        field = _FIELD.match(line)
        fields = [field.groups()] if field else _INNER_FIELD.findall(line)
        for letter, value in fields:
            if letter in "ML":
                _check_fraction(letter, value, place)
            length = _FRACTION.search(value)
            if letter == "L" and length is not None:
                unit = Fraction(int(length[1]), int(length[2]))
        if field is None:
            music = _SAID.sub("", line)
            _check_music(music, place)
            bars.add(_INNER_FIELD.sub("", music), unit, place)


class _Bars:
    """What the bar has so far; one too long for any meter is told once another follows.

    (The parser looks for a meter that fits such a bar, longer and longer. Music
    without bar lines it divides by itself.)
    """

    def __init__(self) -> None:
        self._notes, self._quarters, self._place = 0, Fraction(0), ""
        self._is_closed = False

    def add(self, music: str, unit: Fraction, place: str) -> None:
        for index, piece in enumerate(_BAR_LINE.split(music)):
            # A chord counts as one note, as long as what stands behind it says.
            notes = _NOTE.findall(_CHORD.sub("z", piece))
            if index:
                self._is_closed = self._notes > 0
            if notes and self._is_closed:
                self._check()
                self._notes, self._quarters, self._is_closed = 0, Fraction(0), False
            self._notes += len(notes)
            self._quarters += sum((_length(*note) for note in notes), Fraction(0)) * unit * 4
            self._place = place

    def _check(self) -> None:
        if self._notes > MOST_NOTES_OF_A_BAR or self._quarters > MOST_QUARTERS_OF_A_BAR:
            raise HarmonyError(
                f"A bar in {self._place} has {self._notes} notes, {float(self._quarters):g}"
                f" quarters in all; up to {MOST_NOTES_OF_A_BAR} notes and"
                f" {MOST_QUARTERS_OF_A_BAR} quarters are accepted between two bar lines.",
                where=self._place,
            )


def _length(times: str, slashes: str, by: str) -> Fraction:
    divided = int(by) if by and slashes else 2 ** len(slashes)
    return Fraction(int(times or 1), divided or 1)


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
