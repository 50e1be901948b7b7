"""Chord names and numerals as they are printed."""

from __future__ import annotations

import re

from harmony.chords.naming import chord_symbol
from harmony.scoring.direction import Harmony

_ACCIDENTALS = str.maketrans({"#": "♯", "b": "♭"})
_ROOT = re.compile(r"^([A-G])([#b]*)|(?<=/)([A-G])([#b]*)")
_HEAD = re.compile(r"^[A-G][#b]*")
_BASS = re.compile(r"/[A-G][#b]*$")
_ALTERED = re.compile(r"([#b]+)(?=\d)")
_NUMERAL = re.compile(
    r"(?P<sign>^[#b]+|(?<=/)[#b]+)|(?P<half>ø|%|/o)|(?P<dim>o)|(?P<figures>(?:[#b]*\d)+)"
)


def harmony_symbol(harmony: Harmony) -> str:
    """Give the text above the staff: as written, or made from the chord."""
    if harmony.symbol or harmony.chord is None:
        return harmony.symbol or "N.C."
    return chord_symbol(harmony.chord)


def symbol_tail(symbol: str) -> str:
    """Give what stands after the root of a chord symbol, without its bass.

    >>> symbol_tail("Bbm7/Ab"), symbol_tail("C6/9")
    ('m7', '6/9')
    """
    return _BASS.sub("", _HEAD.sub("", symbol))


def engrave_symbol(symbol: str) -> str:
    """Give a chord symbol with musical accidentals.

    >>> engrave_symbol("Bb7b9/Ab")
    'B♭7♭9/A♭'
    """
    named = _ROOT.sub(lambda match: match[0].translate(_ACCIDENTALS), symbol)
    return _ALTERED.sub(lambda match: match[0].translate(_ACCIDENTALS), named)


def split_numeral(numeral: str) -> list[tuple[str, bool]]:
    """Divide a Roman numeral into stretches of text and whether each is raised.

    >>> split_numeral("bVII65/V")
    [('♭VII', False), ('65', True), ('/V', False)]
    """
    parts: list[tuple[str, bool]] = []
    place = 0

    def add(text: str, *, raised: bool) -> None:
        if not text:
            return
        if parts and parts[-1][1] is raised:
            parts[-1] = (parts[-1][0] + text, raised)
        else:
            parts.append((text, raised))

    bare = numeral.partition("[")[0]
    for match in _NUMERAL.finditer(bare):
        add(bare[place : match.start()], raised=False)
        if match["sign"]:
            add(match["sign"].translate(_ACCIDENTALS), raised=False)
        elif match["half"]:
            add("ø", raised=True)
        elif match["dim"]:
            add("°", raised=True)
        else:
            add(match["figures"].translate(_ACCIDENTALS), raised=True)
        place = match.end()
    add(numeral[place:], raised=False)
    return parts
