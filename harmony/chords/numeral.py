"""The grammar of one Roman numeral: from its letters to its parts.

The notation is RomanText's (Tymoczko, Gotham, Cuthbert and Ariza 2019) with the
variants analysts write: figures with or without slashes, half-diminished as
``ø``, ``/o`` or ``%``, changes in brackets, applied chords nested.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from harmony.errors import TextError
from harmony.pitch.spelling import accidentals_to_alter

_HEAD = re.compile(r"([#b♯♭-]*)(VIII|VII|VI|IV|V|III|II|I|viii|vii|vi|iv|v|iii|ii|i)(?![IVivt])")
_SPECIAL = re.compile(
    r"((?:CT|ct)?(?:[Ii]t(?:al(?:ian)?)?|Lt|[Gg]er(?:m(?:an)?)?|Gn|Gr(?=[+\d])|[Ff]r(?:ench)?"
    r"|[Ss]w(?:iss)?)|N(?:eap(?:olitan)?|p)?|[Cc]ad(?!d)|K(?=6)|CT|ct|subV)([IiV](?![IViv]))?"
)
# Longest first. A slash before figures or a sign of quality belongs to them. A minus after
# the numeral is minor, as on charts; after capitals only where figures make that plain.
_SIGN = re.compile(
    r"/?(?:[oO°º˚](?!mit|ver)|[øØ∅φ])|%|\+|0(?=\d|$|/|\[)|(?<=[oO°])D(?=\d|$)|d(?=\d)|dom|dim|"
    r"half-?dim|hdim|hd|h(?=\d|$|/)|"
    r"maj|Maj|ma(?=\d)|M|Δ|min|m(?=\d|$|[/\[(])|aug|"
    r"(?<=[IViv])-(?=7|6/?5|4/?[23]|1[13])|(?<=[iv])-(?=9|$|[/\[(])"
)
# A minus after 7 or a plus after figures lowers or raises the next: 7-5, 7+9.
_FIGURE = re.compile(
    r"/?((?<=7)-(?=5|9|13)|(?<=\d)\+(?=5|9|1[13])|[#b♯♭n♮]*)(1[0-3]|[1-9])([#♯n♮♭](?![\do]))?"
)
_LONE_ACCIDENTAL = re.compile(r"/?([#♯]+|[♭♮])(?=$|[/\[(])")
_MEMBER_OVER = re.compile(r"/[135](?![\d/])")
_WORD = re.compile(r"(sus)([24]{0,2})|(alt)|(add|no|omit)\s?([#b♯♭n♮]*)(1[0-3]|[1-9])")
_CHANGE = re.compile(
    r"\s*(no|omit|add|sus|maj|M|\+|v|\^)?\s*((?<=add)-|[#b♯♭n♮]*)\s*(1[0-3]|[1-9])(?:th|rd|nd)?\s*[,/]?\s*"
)
_LETTER = re.compile(r"[abcd](?=$|[/\[(])")
#: letter -> highest member of the chord -> figures
_BY_LETTER: dict[str, dict[int, tuple[int, ...]]] = {
    "a": {5: (), 7: (7,), 9: (9,)},
    "b": {5: (6,), 7: (6, 5), 9: (7, 6, 5)},
    "c": {5: (6, 4), 7: (4, 3), 9: (5, 4, 3)},
    "d": {5: (4, 2), 7: (4, 2), 9: (3, 2)},
}
#: Raised and lowered figures, as they are typed where a program offers them.
_SMALL_FIGURES = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁺△∆", "01234567890123456789+ΔΔ")
_DEGREES = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7}
_DEGREES["viii"] = 7  # a slip of the pen found in published analyses; none has an eighth degree

_SPECIALS = {
    "It": "It", "Lt": "It", "Ge": "Ger", "Gn": "Ger", "Gr": "Ger", "Fr": "Fr", "Sw": "Sw",
    "N": "N", "Ne": "N", "Np": "N", "Ca": "Cad", "K": "Cad",
}  # fmt: skip

DEEPEST = 8
EXPECTED = "a numeral I to VII, in capitals for major and small letters for minor,"
EXPECTED_AFTER = "a sign (o ø +), figures such as 65, a change such as [no5] or /V"
_SIGNS = {
    "o": "o", "O": "o", "°": "o", "º": "o", "˚": "o", "0": "o", "dim": "o", "D": "o",
    "ø": "ø", "Ø": "ø", "∅": "ø", "φ": "ø", "%": "ø",
    "h": "ø", "hd": "ø", "hdim": "ø", "halfdim": "ø", "half-dim": "ø",
    "+": "+", "aug": "+",
    "d": "d", "dom": "d",
    "maj": "M", "Maj": "M", "ma": "M", "M": "M", "Δ": "M",
    "min": "m", "m": "m", "-": "m",
}  # fmt: skip


class Change(NamedTuple):
    """A change asked for in brackets or words.

    ``action`` is ``add``, ``no``, ``set`` (alter, or add where absent), ``fix``
    (the same, counted from the major scale on the root), ``sus`` or ``hold`` (a
    suspended note in place of the one it resolves to); ``alter`` is None where
    no accidental is written.
    """

    action: str
    number: int
    alter: int | None = None


class Numeral(NamedTuple):
    """The parts of a Roman numeral, before a key gives them pitches.

    ``special`` names a chord that is no plain degree (``It``, ``Fr``, ``Ger``,
    ``Sw``, ``N``, ``Cad``, ``CT``, ``subV``), else it is empty and ``degree`` is 1
    to 7. ``alter`` counts the accidentals before the numeral. ``signs`` are among
    ``o ø + d M m``. ``figures`` are (alter or None, number) as written.
    ``target`` is what the chord is applied to.
    """

    special: str
    degree: int
    alter: int
    is_upper: bool
    signs: str
    figures: tuple[tuple[int | None, int], ...]
    changes: tuple[Change, ...]
    target: Numeral | None


@lru_cache(maxsize=4096)
def read_numeral_parts(text: str) -> Numeral:
    """Read the parts of one numeral.

    Raises
    ------
    TextError
        With the stretch that cannot be read.
    """
    text = text.translate(_SMALL_FIGURES)
    numeral, place = _read_one(text, 0, 0)
    if place < len(text):
        raise _fault(text, place)
    return numeral


def _read_one(text: str, start: int, depth: int) -> tuple[Numeral, int]:
    head = _HEAD.match(text, start)
    special, degree, alter, is_upper = "", 0, 0, True
    if head is not None:
        alter = _count(head[1])
        degree = _DEGREES[head[2].lower()]
        is_upper = head[2][0] in "IV"
    else:
        head = _SPECIAL.match(text, start)
        if head is None:
            raise _fault(text, start)
        # A common-tone augmented sixth has the notes of the usual one.
        special = _name_special(head[1])
        if head[2] and special != "Cad":
            raise _fault(text, head.end(1))
    signs, figures, changes, place = _read_tail(text, head.end())
    target = None
    if text.startswith("/", place) and place + 1 < len(text):
        if depth == DEEPEST:
            raise _fault(text, place, expected=f"no more than {DEEPEST} applied chords in a chain")
        target, place = _read_one(text, place + 1, depth + 1)
        # V/V[no3] speaks of the chord that sounds, not of the key it points to.
        changes += target.changes
    return Numeral(special, degree, alter, is_upper, signs, figures, changes, target), place


def _name_special(written: str) -> str:
    """Give the short name of a chord that is no plain degree."""
    if written == "subV":
        return written
    bare = written.removeprefix("CT").removeprefix("ct")
    return _SPECIALS[bare[:2].capitalize()] if bare else "CT"


def _read_tail(
    text: str, place: int
) -> tuple[str, tuple[tuple[int | None, int], ...], tuple[Change, ...], int]:
    signs = ""
    figures: list[tuple[int | None, int]] = []
    changes: list[Change] = []
    if _MEMBER_OVER.match(text, place):
        raise _fault(text, place, expected="I6 (its third in the bass), I64 (its fifth) or I53")
    while place < len(text):
        character = text[place]
        if character in "[(":
            found, place = _read_changes(text, place)
            changes += found
        elif match := _FIGURE.match(text, place):
            written = match[1] or match[3]
            figures.append((_count(written) if written else None, int(match[2])))
            place = match.end()
        elif match := _LONE_ACCIDENTAL.match(text, place):
            figures.append((_count(match[1]), 3))  # as in figured bass, where it means the third
            place = match.end()
        elif match := _WORD.match(text, place):
            changes += _word_to_changes(match)
            place = match.end()
        elif match := _SIGN.match(text, place):
            sign = match[0]
            slashed = sign[0] == "/"
            signs += "ø" if slashed else _SIGNS[sign]
            place = match.end()
        elif (match := _LETTER.match(text, place)) and {n for _, n in figures} <= {7, 9}:
            figures = _inversion_by_letter(match[0], figures)
            place = match.end()
        elif character in " ?!^_":
            place += 1
        else:
            break
    return signs, tuple(figures), tuple(changes), place


def _inversion_by_letter(
    letter: str, figures: list[tuple[int | None, int]]
) -> list[tuple[int | None, int]]:
    """Read Ib, Ic, V7d: letters for inversions, as British harmony teaching writes them."""
    top = max((number for _, number in figures), default=5)
    return [(None, number) for number in _BY_LETTER[letter][top]]


def _word_to_changes(match: re.Match[str]) -> list[Change]:
    if match[1]:
        return [Change("sus", int(number)) for number in match[2] or "4"]
    if match[3]:
        return [
            Change("fix", 5, -1),
            Change("add", 5, 1),
            Change("add", 9, -1),
            Change("add", 9, 1),
        ]
    action = "add" if match[4] == "add" else "no"
    return [Change(action, int(match[6]), _count(match[5]) if match[5] else None)]


def _read_changes(text: str, start: int) -> tuple[list[Change], int]:
    closing = "]" if text[start] == "[" else ")"
    end = text.find(closing, start)
    if end < 0:
        raise _fault(text, start, len(text), f"the bracket to be closed by {closing}")
    found: list[Change] = []
    place = start + 1
    while place < end:
        match = _CHANGE.match(text, place, end)
        if match is None:
            raise _fault(
                text, place, end, "a change such as no3, add9, b7 or #5 between the brackets"
            )
        word, written, number = match[1], match[2], int(match[3])
        alter = _count(written) if written else None
        if word in ("maj", "M"):
            found.append(Change("fix", number, 0))
        elif word in ("no", "omit"):
            found.append(Change("no", number, alter))
        elif word == "sus":
            found.append(Change("sus", number, alter))
        elif word in (None, "v", "^") and closing == ")" and (alter is None or number in (2, 4, 6)):
            found.append(Change("hold", number, alter))
        else:
            found.append(Change("set" if word is None else "add", number, alter))
        place = match.end()
    return found, end + 1


def _count(written: str) -> int:
    plain = written.replace("-", "b").replace("+", "#").replace("n", "♮")
    return accidentals_to_alter(plain)


def _fault(text: str, start: int, end: int | None = None, expected: str | None = None) -> TextError:
    end = len(text) if end is None else end
    if expected is None:
        expected = EXPECTED_AFTER if start and text[start - 1] != "/" else EXPECTED
    place = f"at {text[start:end]!r}" if start < end else "at its end"
    return TextError(
        f"{text!r} is not a Roman numeral: {place} {expected} is accepted.",
        text=text,
        start=start,
        end=end,
        expected=expected,
    )
