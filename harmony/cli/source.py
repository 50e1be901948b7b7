"""The word that is a progression, names a file that holds one or a score, or is `-`."""

from __future__ import annotations

import re
import sys

from harmony.errors import HarmonyError
from harmony.resources import expand_home

# No chord or numeral ends like this, so such a word can only mean a file.
_FILE_ENDING = re.compile(r"\.(txt|text|rntxt|romantext|lab|harte|md)$", re.IGNORECASE)
_LONGEST_FILE_BYTES = 4_000_000


def read_text(word: str) -> str:
    """Return the progression's text that a command was given.

    Parameters
    ----------
    word
        ``-`` for standard input; the name of a text file, or of a score whose
        chords are read off; else the text itself.
        A bare word such as ``C`` is always text, whatever files lie about: a
        file is meant only by an ending or a folder in its name.

    Raises
    ------
    HarmonyError
        If the file is missing, is no text, or is far too long.
    """
    if word == "-":
        return _decode(sys.stdin.buffer.read(), "standard input")
    if "\n" in word or "|" in word or not ("." in word or "/" in word or "\\" in word):
        return word
    path = expand_home(word)
    try:
        is_file = path.is_file()
    except (OSError, ValueError):  # longer than any file name, or with a null in it
        return word
    if is_file:
        # Not loaded for a progression that is typed.
        from harmony.reading.opening import ENDINGS, read

        if path.suffix.lower() in ENDINGS:
            from harmony.reading.progression import score_to_progression

            return str(score_to_progression(read(path)))
        if path.stat().st_size > _LONGEST_FILE_BYTES:
            raise HarmonyError(
                f"{path} is longer than {_LONGEST_FILE_BYTES // 1_000_000} megabytes; a text file"
                " with a progression is accepted.",
                where=str(path),
            )
        return _decode(path.read_bytes(), str(path))
    if _FILE_ENDING.search(word):
        raise HarmonyError(
            f"There is no file {word!r}; the name of a text file, the progression itself or '-'"
            " for standard input is accepted.",
            where=word,
        )
    return word


def _decode(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise HarmonyError(
            f"{name} is not plain text; chords in a text file saved as UTF-8 are accepted.",
            where=name,
        ) from fault
