"""Chords the composer has fixed: read, placed in the harmonic rhythm, held to in the search."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from harmony.chords.api import parse
from harmony.chords.chord import Chord
from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.chain import Chain
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span, split
from harmony.harmonising.vocabulary import Entry, Vocabulary, pack
from harmony.pitch.key import Key

SONORITY = "sonority"  # the quality of chords given as notes
_TEXT = re.compile(r"\s*(\d+)(?:\.(\d+(?:\.\d+|/0*[1-9]\d*)?))?\s*(!?=)\s*(.+?)\s*")


@dataclass(frozen=True, slots=True)
class Fixed:
    """This chord at this time; or, with ``is_forbidden``, not this chord there."""

    onset: Fraction
    chord: Chord
    text: str
    is_forbidden: bool = False


def read_fixed(texts: str | Iterable[str | Fixed], melody: Melody) -> tuple[Fixed, ...]:
    """Read ``BAR.BEAT=CHORD`` (a numeral or a symbol); ``BAR.BEAT!=CHORD`` forbids it.

    Raises
    ------
    HarmonyError
        For another form, a place outside the melody, a chord that cannot be read,
        or two different chords fixed at one place.
    """
    found: list[Fixed] = []
    for text in (texts,) if isinstance(texts, str) else texts:
        one = text if isinstance(text, Fixed) else _read_one(text, melody)
        if one not in found:
            _refuse_contradiction(one, found)
            found.append(one)
    return tuple(sorted(found, key=lambda one: one.onset))


def _refuse_contradiction(one: Fixed, found: Iterable[Fixed]) -> None:
    """Refuse two chords fixed at one place, or one both fixed and forbidden there."""
    for other in found:
        if other.onset != one.onset:
            continue
        same, forbidden = _is_same(other.chord, one.chord), one.is_forbidden + other.is_forbidden
        if not same and not forbidden:
            raise HarmonyError(
                f"{other.text!r} and {one.text!r} fix two chords at one place; keep one of them.",
                where=one.text,
            )
        if same and forbidden == 1:
            raise HarmonyError(
                f"{other.text!r} and {one.text!r} contradict each other; keep one of them.",
                where=one.text,
            )


def _is_same(one: Chord, other: Chord) -> bool:
    return (one.names, one.bass) == (other.names, other.bass)


def _read_one(text: str, melody: Melody) -> Fixed:
    match = _TEXT.fullmatch(text)
    if match is None:
        raise HarmonyError(
            f"{text!r} fixes no chord; write BAR.BEAT=CHORD, such as 3.1=V6 or 3.1=A7/C#.",
            where=text,
        )
    meters = melody.theme.meters
    bar = int(match[1])
    bars = meters.bars_through(melody.end)
    if bar not in bars:
        raise HarmonyError(
            f"There is no bar {bar} under the melody; it has bars {bars.start} to {bars.stop - 1}.",
            where=text,
        )
    onset = meters.offset(bar, Fraction(match[2] or 1))
    slots = parse(match[4], key=melody.key).slots
    chord = slots[0].chord
    if len(slots) != 1 or chord is None:
        raise HarmonyError(f"{text!r} does not fix one chord; one chord is accepted.", where=text)
    return Fixed(onset, chord, text, match[3] == "!=")


def make_room(spans: Sequence[Span], fixed: Sequence[Fixed]) -> tuple[Span, ...]:
    """Split the spans so that every fixed chord begins one."""
    begun = {span.onset for span in spans}
    for onset in dict.fromkeys(one.onset for one in fixed):
        if onset not in begun:
            spans = split(spans, onset)
            begun.add(onset)
    return tuple(spans)


def is_entry(entry: Entry, chord: Chord, tonic: int) -> bool:
    """True where an entry of a vocabulary is a chord: root, quality and bass.

    A stack has no quality of its own; its notes and its bass say which it is.
    """
    if entry.bass != (chord.bass.pitch_class - tonic) % 12:
        return False
    if chord.quality.name == SONORITY:
        own = {(entry.root + tone) % 12 for tone in entry.tones}
        return own == {(pitch_class - tonic) % 12 for pitch_class in chord.pitch_classes}
    root = (chord.root.pitch_class - tonic) % 12
    return entry.root == root and entry.quality == chord.quality.name


def with_fixed(vocabulary: Vocabulary, fixed: Sequence[Fixed]) -> Vocabulary:
    """Add the fixed chords the idiom does not have; the composer decides."""
    tonic = vocabulary.key.tonic.pitch_class
    entries = list(vocabulary.entries)
    for one in fixed:
        if one.is_forbidden or any(is_entry(e, one.chord, tonic) for e in entries):
            continue
        root = one.chord.root.pitch_class
        entries.append(
            Entry(
                (root - tonic) % 12, one.chord.quality.name,
                (one.chord.bass.pitch_class - tonic) % 12,
                tuple(dict.fromkeys((n.pitch_class - root) % 12 for n in one.chord.names)), 1.0,
            )
        )  # fmt: skip
    if len(entries) == len(vocabulary.entries):
        return vocabulary
    return pack(vocabulary.idiom, vocabulary.key, entries)


def hold(
    chain: Chain,
    fixed: Sequence[Fixed],
    key: Key,
    adapt: Callable[[Chain], Chain] | None = None,
) -> Chain:
    """The chain with only the fixed chord at each fixed place, and ``adapt`` done to it.

    Raises
    ------
    NoSolutionError
        Where a chord is fixed that what else is asked there (a cadence, a bass) excludes,
        or no chord is left.
    """
    chain = replace(chain, allowed=chain.allowed.copy())
    tonic = key.tonic.pitch_class
    placed = []
    for one in fixed:
        onset = max(one.onset, chain.spans[0].onset)
        place = max(i for i, span in enumerate(chain.spans) if span.onset <= onset)
        match = np.array([is_entry(e, one.chord, tonic) for e in chain.vocabulary.entries])
        placed.append((one, place, ~match if one.is_forbidden else match))
        chain.allowed[place] = chain.allowed[place] & ~match if one.is_forbidden else match
        if not chain.allowed[place].any():
            raise _nothing_left(chain, one)
    if adapt is None:
        return chain
    chain = adapt(chain)
    for one, place, open_ in placed:
        chain.allowed[place] &= open_
        if not chain.allowed[place].any():
            raise _nothing_left(chain, one) if one.is_forbidden else _contradicted(one)
    return chain


def _nothing_left(chain: Chain, one: Fixed) -> NoSolutionError:
    return _refusal(
        one,
        f"With {one.text!r} no chord of the idiom {chain.vocabulary.idiom.name!r} is left there;"
        " take it back or choose another idiom.",
    )


def _contradicted(one: Fixed) -> NoSolutionError:
    return _refusal(
        one,
        f"{one.text!r} fixes a chord that the cadence or the bass asked for there excludes; take"
        " one of them back.",
    )


def _refusal(one: Fixed, said: str) -> NoSolutionError:
    return NoSolutionError(said, rule="fixed", chord=one.chord.figure, where=one.text)
