"""The words of a progression's text, each with its place.

One regular expression tells the kinds apart; what a word *means* is the
grammar's business (:mod:`harmony.chords.grammar`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from harmony.errors import TextError

MODE_WORDS = (
    r"major|minor|dorian|phrygian\ dominant|phrygian|lydian|mixolydian|aeolian|locrian|ionian"
)
NUMERAL_START = (
    r"[#b♯♭-]*[IViv]|[Ii]t(?:al(?:ian)?)?(?![a-z])|Lt(?![a-z])|[Gg]er|Gn|Gr(?=[+\d])|[Ff]r|[Ss]w"
    r"|[Cc]ad(?!d)|K(?=6)|CT|ct(?![a-z]{2})|subV|N"
)

_BLANKS = r"[ \t\r\f\v\u00a0,;]*"
_KINDS = (
    ("line", r"\r?\n"),
    # A key needs its colon; D:maj7 with no space after it is a Harte label.
    ("key",
     rf"[A-Ga-g](?:\#+|b+|x|♯+|♭+|-+)?(?:[ ]?(?:{MODE_WORDS}|maj|min|dor|phr|lyd|mix|aeo|loc))?"
     rf"[ ]?:(?=$|[\s|{{%]|{NUMERAL_START})"),
    ("bar", r":?\|\|?\|?:?"),
    ("number", r"m[ ]?\d{1,6}(?=\s|$)"),
    ("meter", r"\d{1,3}(?:\+\d{1,3})*/\d{1,3}(?=[\s|]|$)"),
    ("beat", r"b(?:\d{1,4}/[1-9]\d{0,3}|\d{1,4}(?:\.\d{1,6})?|\.\d{1,6}):?(?=[\s|\]]|$)"),
    ("pedal", r"pedal\b[ ]*:?[ ]*[A-Ga-g][^\s\[]*(?:[ ]+(?:above|below))?[ ]*\["),
    ("close", r"\]"),
    ("brace", r"\{[^}\n]*\}"),
    ("repeat", r"%(?=[\s|\]]|$)"),
    ("slash", r"/(?=[\s|\]]|$)"),
    # RomanText puts passing chords in brackets and doubtful keys after a question mark.
    ("doubt", r"\?[()][A-Ga-g][\#b-]*:?|[()?!*]+(?=[\s()]|$)|\((?=\S)"),
    ("over", r"over(?=\s|$)"),
    # A chord may hold brackets, with blanks in them, and a slash with a blank after it.
    ("word",
     rf"(?:[^\s|\[\](){{}},;/]++|(?<=\S)/[ ]+(?={NUMERAL_START})|/"
     r"|(?<=[^\s(])\([^()|\n]*\)|(?<=[^\s(])[ ]?\[[^\]|\n]*\])+"),
)  # fmt: skip
_TOKEN = re.compile(
    f"(?:{'|'.join(f'(?P<{kind}>{pattern})' for kind, pattern in _KINDS)}){_BLANKS}", re.VERBOSE
)
_LEADING = re.compile(_BLANKS)


class Token(NamedTuple):
    """A word: its kind, its text, and where it stands in characters."""

    kind: str
    text: str
    start: int
    end: int


def tokenize(text: str, *, start: int = 0, end: int | None = None) -> Iterator[Token]:
    """Give the words of ``text[start:end]``, without the blanks.

    Raises
    ------
    TextError
        At a character that begins no word.
    """
    stop = len(text) if end is None else end
    leading = _LEADING.match(text, start, stop)
    place = start if leading is None else leading.end()
    while place < stop:
        match = _TOKEN.match(text, place, stop)
        if match is None:
            raise _fault(text, place, stop)
        kind = match.lastgroup or "word"
        yield Token(kind, match[kind], place, match.end(kind))
        place = match.end()


def _fault(text: str, place: int, stop: int) -> TextError:
    character = text[place]
    closing = {"{": "}", "[": "]", "(": ")"}.get(character)
    if closing:
        return TextError(
            f"The {character!r} at column {column_at(text, place)} is not closed; {closing!r} is"
            " accepted further on.",
            text=text,
            start=place,
            end=min(stop, len(text)),
            expected=closing,
            where=f"column {column_at(text, place)}",
        )
    return TextError(
        f"{character!r} at column {column_at(text, place)} means nothing here; a chord, a bar line"
        " or a key is accepted.",
        text=text,
        start=place,
        end=place + 1,
        expected="a chord, a bar line | or a key such as D:",
        where=f"column {column_at(text, place)}",
    )


def column_at(text: str, place: int) -> int:
    """Give the column of a place in its line, counted from 1."""
    return place - (text.rfind("\n", 0, place) + 1) + 1
