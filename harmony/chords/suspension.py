"""Figures that move over one numeral: ``V4-3``, ``V7b9-8``, ``V8/6/4-7/5/3``."""

from __future__ import annotations

import re

_MOVING = re.compile(
    r"(?P<head>[^\d(-]*[IVivoø+])"
    r"(?:(?P<stays>[79]?)\((?P<inside>[^()-]+-[^()-]+)\)|(?P<first>[^()-]+)-(?P<second>[^/]+?|"
    r"[#b♯♭n\d/]+?))"
    r"(?P<applied>/[#b♯♭]*[IViv].*)?"
)
_FIGURES = re.compile(r"(?:/?[#b♯♭n♮]?\d)+")
_FIGURE = re.compile(r"([#b♯♭n♮]?)(\d)")
_MEMBERS = (3, 5, 8)

Figure = tuple[str, int]


def split_moving(word: str) -> tuple[str, str] | None:
    """Split a numeral with moving figures into the two chords it means, or give None.

    The voices move by step (7-6, 4-#3) or stay (the 5 of 5/4-5/3); of figures
    that are more before the dash than after it, the first stay: ``V74-3`` keeps
    its seventh. Figures above an inversion (``ii64-3``) are nobody's business
    here: whether the bass is the numeral's root cannot be told from them.

    >>> split_moving("V74-3/V")
    ('V7(4)/V', 'V7/V')
    """
    match = _MOVING.fullmatch(word)
    if match is None:
        return None
    before, _, after = (match["inside"] or f"{match['first']}-{match['second']}").partition("-")
    if not (_FIGURES.fullmatch(before) and _FIGURES.fullmatch(after)):
        return None
    first, second = _read(before), _read(after)
    if before.replace("/", "") == "64" and after == "7":
        first, second = _read("864"), _read("753")  # the usual way to shorten it
    count = len(first) - len(second)
    if count < 0:
        return None
    standing, moving = first[:count], first[count:]
    if {number for _, number in standing} - {7, *_MEMBERS}:
        return None
    if any(abs(a[1] - b[1]) > 1 for a, b in zip(moving, second, strict=True)):
        return None
    stays = (match["stays"] or "") + ("7" if ("", 7) in standing else "")
    head, applied = match["head"] + stays, match["applied"] or ""
    held = "".join(f"{sign}{number}" for sign, number in moving if number not in _MEMBERS)
    return f"{head}{f'({held})' if held else ''}{applied}", f"{head}{_settled(second)}{applied}"


def _read(figures: str) -> list[Figure]:
    return [(sign, int(number)) for sign, number in _FIGURE.findall(figures)]


def _settled(figures: list[Figure]) -> str:
    """Write the second stage: what a plain chord has needs no figure."""
    written = ""
    for sign, number in figures:
        if number == 7 or (sign and number in _MEMBERS):
            written = f"{sign}{number}{written}"
        elif number not in _MEMBERS:
            written += f"({sign}{number})"
    return written
