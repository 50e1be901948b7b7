"""The words in which costs and faults are told to a composer."""

from __future__ import annotations

from collections.abc import Sequence

_INTERVALS = (
    "unison",
    "minor second",
    "major second",
    "minor third",
    "major third",
    "fourth",
    "tritone",
    "fifth",
    "minor sixth",
    "major sixth",
    "minor seventh",
    "major seventh",
    "octave",
    "minor ninth",
    "major ninth",
    "minor tenth",
    "major tenth",
    "eleventh",
    "augmented eleventh",
    "twelfth",
)


def interval_words(semitones: int) -> str:
    """Name the size of an interval: `fifth`, `minor ninth`, `two octaves and a fifth`.

    >>> interval_words(10), interval_words(31)
    ('minor seventh', 'two octaves and a fifth')
    """
    size = abs(semitones)
    if size < len(_INTERVALS):
        return _INTERVALS[size]
    octaves, rest = divmod(size, 12)
    count = {1: "an octave", 2: "two octaves", 3: "three octaves"}.get(
        octaves, f"{octaves} octaves"
    )
    return count if rest == 0 else f"{count} and {with_article(_INTERVALS[rest])}"


def with_article(words: str) -> str:
    """Put `a` or `an` before words.

    >>> with_article("octave"), with_article("fifth")
    ('an octave', 'a fifth')
    """
    return ("an " if words[0] in "aeio" else "a ") + words


def count_words(count: int, one: str) -> str:
    """Write a count with its noun: `1 semitone`, `3 semitones`."""
    return f"{count} {one}" if count == 1 else f"{count} {one}s"


def list_words(words: Sequence[str]) -> str:
    """Join words with commas and `and`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
