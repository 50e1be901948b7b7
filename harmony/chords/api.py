"""``harmony.parse``: from text to a progression."""

from __future__ import annotations

from functools import lru_cache

from harmony.chords.grammar import read_progression
from harmony.chords.progression import Progression
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter

#: Longer texts are refused: no progression is a hundredth as long.
LONGEST_TEXT = 4_000_000


def parse(
    text: str, *, key: Key | str | None = None, meter: Meter | str | None = None
) -> Progression:
    """Read a progression in Roman numerals, chord symbols, or both.

    Parameters
    ----------
    text
        Bars of chords, ``D: I V6 | ii65 b3 V7 | I``, a whole RomanText file, or
        a file of Harte labels with their times.
    key
        The key before the text names one, such as ``"D"``, ``"d"`` or ``"Ab"``.
    meter
        The meter before the text names one, such as ``"3/4"``; else 4/4.

    Returns
    -------
    Progression
        The chords in their places; ``.to_json()`` gives them as plain data with
        offsets and durations in quarters and pitches bass first.

    Raises
    ------
    TextError
        With the stretch that cannot be read, its bar and column, what is
        accepted there and, where there is one, a near reading.

    >>> [slot.figure for slot in parse("D: I V6 | ii65 b3 V7 | I")]
    ['I', 'V6', 'ii65', 'V7', 'I']
    """
    if not isinstance(text, str):
        raise HarmonyError(
            f"A progression is text, such as 'D: I V7 | I'; this is {type(text).__name__}."
        )
    if len(text) > LONGEST_TEXT:
        raise TextError(
            f"The text is {len(text):,} characters long; up to {LONGEST_TEXT:,} are accepted.",
            text=text[:80], start=0, end=1, expected="a shorter text",
        )  # fmt: skip
    given_key = Key.from_text(key) if isinstance(key, str) else key
    given_meter = Meter.from_text(meter) if isinstance(meter, str) else meter
    return _read(text, given_key, given_meter)


@lru_cache(maxsize=64)
def _read(text: str, key: Key | None, meter: Meter | None) -> Progression:
    """Read a text; a desk asks for the same one again at every step of a slider."""
    if text.lstrip().startswith("m") or "\nm" in text:
        # Loaded only where a line can be a bar of a file: a cold start counts.
        from harmony.chords.romantext import is_romantext, read_romantext

        if is_romantext(text):
            return read_romantext(text, key=key, meter=meter).progression
    if text.lstrip()[:1].isdigit():
        from harmony.chords.labels import is_label_file, read_labels

        if is_label_file(text):
            return read_labels(text)
    return read_progression(text, key=key, meter=meter)
