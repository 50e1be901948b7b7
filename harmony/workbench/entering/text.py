"""Played chords as text: the word for a chord, and a progression with the word put in."""

from __future__ import annotations

from harmony.chords.api import parse
from harmony.chords.chord import Chord
from harmony.chords.naming import chord_symbol, figure_in_key
from harmony.chords.progression import Progression
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.workbench.entering.reading import Meaning

SYMBOLS, NUMERALS, NOTES = "chord symbols", "Roman numerals", "notes as played"
MANNERS = (SYMBOLS, NUMERALS, NOTES)
_EXCUSE = (
    "The chord cannot be put there: the text is a whole analysis, or the bar's chords stand on"
    " beats of their own. Write a bar line at its end and try again."
)


def write_notes(meaning: Meaning) -> str:
    """Write the notes as they stand, lowest first, in braces."""
    return "{" + " ".join(str(pitch) for pitch in meaning.pitches) + "}"


def write_meaning(meaning: Meaning, key: Key, *, manner: str = SYMBOLS) -> str:
    """Write what was played as a word of the text for progressions.

    ``manner`` is one of MANNERS. A chord that has no such word that reads back to the same
    sounds over the same bass is written as notes in braces.
    """
    if meaning.chord is None or manner == NOTES:
        return write_notes(meaning)
    word = figure_in_key(meaning.chord, key) if manner == NUMERALS else chord_symbol(meaning.chord)
    return word if _says(word, meaning, key) else write_notes(meaning)


def _says(word: str, meaning: Meaning, key: Key) -> bool:
    """Say whether a word reads back to what was played."""
    try:
        slots = parse(word, key=key).slots
    except HarmonyError:
        return False
    return len(slots) == 1 and _sounds(slots[0].chord) == _played(meaning)


def _sounds(chord: Chord | None) -> tuple[frozenset[int], int] | None:
    return None if chord is None else (chord.pitch_classes, chord.bass.pitch_class)


def _played(meaning: Meaning) -> tuple[frozenset[int], int]:
    return (
        frozenset(pitch.pitch_class for pitch in meaning.pitches),
        meaning.pitches[0].pitch_class,
    )


def append_chord(
    text: str, meaning: Meaning, key: Key, *, manner: str = SYMBOLS, chords_in_bar: int = 1
) -> str:
    """Give the text with a chord more at its end.

    It joins the last bar while that has fewer than ``chords_in_bar`` chords, and opens
    another otherwise. A numeral in a key the text is not in brings its key along.
    """
    word = write_meaning(meaning, key, manner=manner)
    before = parse(text) if text.strip() else None
    last = before.slots[-1].key if before else None
    if manner == NUMERALS and last != key and not word.startswith("{"):
        word = f"{key}: {word}"
    if before is None:
        return word
    bare = text.rstrip()
    ways = [f"{bare} {word}", f"{bare} | {word}"]
    final = before.slots[-1].bar
    is_full = sum(slot.bar == final for slot in before.slots) >= chords_in_bar
    if is_full and not bare.endswith("|"):
        ways.reverse()
    return _first_good(ways, before, meaning, place=len(before.slots), count=len(before.slots) + 1)


def replace_chord(
    text: str, place: int, meaning: Meaning, key: Key, *, manner: str = SYMBOLS
) -> str:
    """Give the text with the chord number ``place`` (from 0) replaced."""
    before = parse(text)
    if not 0 <= place < len(before.slots):
        raise HarmonyError("The chosen chord is not in the text any more; choose one again.")
    slot = before.slots[place]
    if slot.key is None and manner == NUMERALS:
        manner = SYMBOLS
    word = write_meaning(meaning, slot.key or key, manner=manner)
    start, end = slot.span
    ways = [f"{text[:start]}{word}{text[end:]}"]
    return _first_good(ways, before, meaning, place=place, count=len(before.slots))


def _first_good(
    ways: list[str], before: Progression, meaning: Meaning, *, place: int, count: int
) -> str:
    """Give the first text in which the chord stands in its place and all others as before."""
    wanted = _played(meaning)
    others = [slot.figure for number, slot in enumerate(before.slots) if number != place]
    for text in ways:
        try:
            slots = parse(text).slots
        except TextError:
            continue
        kept = [slot.figure for number, slot in enumerate(slots) if number != place]
        if len(slots) == count and kept == others and _sounds(slots[place].chord) == wanted:
            return text
    raise HarmonyError(_EXCUSE)
