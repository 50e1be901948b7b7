"""One word of a progression: numeral, chord symbol, Harte label, sonority or N.C.

Numerals apart, a notation's reader is loaded when the first chord in it is met,
so that a command starts no slower for notations that are not typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.roman import read_numeral
from harmony.chords.tokens import NUMERAL_START, Token, column_at
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import MODE_FIFTHS, Key

_NUMERAL = re.compile(NUMERAL_START)
_NO_CHORD = re.compile(r"(?:N\.?\s?C\.?|n\.?c\.?|@?none|NONE|tacet|X)")
_DASHES = re.compile(r"\s*[-\u2010-\u2015\u2212\u2192>]+\s*")
_APART = "blanks between chords and | between bars"
EXPECTED = "a Roman numeral such as ii65, a chord symbol such as Dm7, or {C E G}"


class WordReader:
    """Reads the chords of one text; errors point into that text."""

    def __init__(self, text: str) -> None:
        self.text = text

    def read_key(self, word: str, start: int) -> Key:
        """Read a key with its colon."""
        try:
            return _spell_key(word)
        except HarmonyError as wrong:
            raise self._fault(wrong.message, start, start + len(word), None) from wrong

    def read_chords(
        self, token: Token, key: Key | None, bar: int
    ) -> list[tuple[Chord | None, int, int]]:
        """Read a word as one chord, or two where figures move (``V4-3``).

        Gives (chord or None for N.C., start, end) for each.
        """
        word, start = token.text, token.start
        if word[-1] in "?!*":
            word = word.rstrip("?!*") or token.text
        stages: tuple[str, ...] = (word,)
        if "-" in word and _NUMERAL.match(word):
            from harmony.chords.suspension import split_moving

            stages = split_moving(word) or stages
        return [(self._read(stage, key, token, start, bar), start, token.end) for stage in stages]

    def _read(self, word: str, key: Key | None, token: Token, start: int, bar: int) -> Chord | None:
        if key is not None and word[0] in "IViv" and " " not in word:
            # Nearly every word of an analysis; it can be nothing but a numeral.
            return self._guard(lambda: read_numeral(word, key), token, start, bar)
        if _NO_CHORD.fullmatch(word) or (word == "N" and key is None):
            return None
        if ":" in word:
            from harmony.chords.harte import is_harte, read_harte

            if is_harte(word):
                return self._guard(lambda: read_harte(word), token, start, bar)
        if _NUMERAL.match(word):
            if key is None:
                raise self._fault(
                    f"In bar {bar}, {word!r} has no key; a key with a colon before it, such as"
                    f" D: {word.rstrip(':')}, is accepted.",
                    start, token.end, bar, expected="a key with a colon before the first numeral",
                    suggestion=f"C: {word}",
                )  # fmt: skip
            figure = "".join(word.split()) if " " in word else word
            return self._guard(lambda: read_numeral(figure, key), token, start, bar)
        if word[0] in "ABCDEFG":
            from harmony.chords.leadsheet import read_symbol

            return self._guard(lambda: read_symbol(word), token, start, bar)
        raise self._unknown(word, start, token.end, bar)

    def _guard(
        self, read: Callable[[], Chord | None], token: Token, start: int, bar: int
    ) -> Chord | None:
        """Read, turning what goes wrong into an error that points into the text."""
        try:
            return read()
        except TextError as wrong:
            end = min(start + wrong.end, token.end)
            apart = _split_at_dashes(token.text)
            if apart:
                message = f"{token.text!r} is not a single chord: {_APART} are accepted."
                raise self._fault(
                    _with_suggestion(message, bar, apart), start, token.end, bar, expected=_APART,
                    suggestion=apart,
                ) from wrong  # fmt: skip
            suggestion = suggest(token.text)
            raise self._fault(
                _with_suggestion(wrong.message, bar, suggestion), min(start + wrong.start, end - 1),
                end, bar, expected=wrong.expected, suggestion=suggestion,
            ) from wrong  # fmt: skip
        except HarmonyError as wrong:
            raise self._fault(
                f"In bar {bar}, {token.text!r} cannot be read: {wrong.message}", start, token.end,
                bar,
            ) from wrong  # fmt: skip

    def read_sonority(self, word: str, start: int, bar: int) -> Chord:
        """Read a sonority in braces."""
        from harmony.chords import sonority

        try:
            return sonority.read_sonority(word)
        except TextError as wrong:
            raise self._fault(
                _with_suggestion(wrong.message, bar, None), start + wrong.start, start + wrong.end,
                bar, expected=wrong.expected,
            ) from wrong  # fmt: skip

    def join(self, upper: Chord, lower: Chord) -> Chord:
        """Put one chord over another."""
        from harmony.chords.sonority import join_over

        return join_over(upper, lower)

    def _unknown(self, word: str, start: int, end: int, bar: int) -> TextError:
        suggestion, accepted = suggest(word), f"{EXPECTED} is"
        if _DASHES.fullmatch(word):
            suggestion, accepted = None, f"{_APART} are"
        elif word.lower() in MODE_FIFTHS:
            suggestion, accepted = None, f"a key with a colon, such as C {word.lower()}:, is"
        elif is_readable(f"C{word}"):
            suggestion, accepted = None, f"a note right before it, as in C{word}, is"
        message = f"{word!r} is not a chord: {accepted} accepted."
        return self._fault(
            _with_suggestion(message, bar, suggestion), start, end, bar, expected=EXPECTED,
            suggestion=suggestion,
        )  # fmt: skip

    def _fault(
        self, message: str, start: int, end: int, bar: int | None, *, expected: str = "",
        suggestion: str | None = None,
    ) -> TextError:  # fmt: skip
        place = f"column {column_at(self.text, start)}"
        return TextError(
            message, text=self.text, start=start, end=end, expected=expected,
            suggestion=suggestion, where=place if bar is None else f"bar {bar}, {place}",
        )  # fmt: skip


@lru_cache(maxsize=256)
def _spell_key(word: str) -> Key:
    """Read a key; a minus after its letter is a flat, as some programs write it."""
    return Key.from_text(word[0] + word[1:].replace("-", "b").rstrip(" :"))


def _with_suggestion(message: str, bar: int, suggestion: str | None) -> str:
    placed = f"In bar {bar}, {message}"
    return f"{placed[:-1]}; did you mean {suggestion!r}?" if suggestion else placed


def _split_at_dashes(word: str) -> str | None:
    """Give chords joined by dashes with blanks in their place, or None."""
    pieces = _DASHES.split(word)
    return " ".join(pieces) if len(pieces) > 1 and all(map(is_readable, pieces)) else None


def suggest(word: str) -> str | None:
    """Give a near reading of a word that cannot be read, or None."""
    from difflib import get_close_matches

    capital = word[:1].upper() + word[1:]
    for guess in (capital, "B" + word[1:] if word[:1] in "Hh" else "", word.upper(), word.lower()):
        if guess and guess != word and is_readable(guess):
            return guess
    near = get_close_matches(word, _COMMON, n=1, cutoff=0.6)
    return near[0] if near else None


def is_readable(word: str) -> bool:
    """Say whether a word is a numeral or a chord symbol."""
    from harmony.chords.leadsheet import read_symbol

    try:
        if _NUMERAL.match(word):
            read_numeral(word, Key.from_text("C"))
        else:
            read_symbol(word)
    except HarmonyError:
        return False
    return True


_COMMON = [
    sign + figure
    for sign in ("I", "i", "ii", "iio", "iiø", "iii", "IV", "iv", "V", "vi", "VI", "viio", "viiø")
    for figure in ("", "6", "64", "7", "65", "43", "42")
] + [
    letter + kind
    for letter in "ABCDEFG"
    for kind in ("", "m", "7", "m7", "maj7", "dim", "dim7", "sus4", "aug", "m7b5", "9", "6")
] + ["N.C.", "N6", "It6", "Fr43", "Ger65", "Cad64"]  # fmt: skip
