"""Bach's chorales as sonorities on the beat, read from the music21 corpus.

A slice is what the four voices sound on one quarter beat, sorted upward.
A rest in any voice breaks the sequence; a sonority that only repeats the one
before is dropped, so what is left is a sequence of chord changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import NDArray

VOICES = ("Bass", "Tenor", "Alto", "Soprano")

CROSSED = 1  # two voices have changed places
FERMATA = 2  # a phrase ends here
BREAK = 4  # nothing sounds just before, or a rest does


@dataclass(frozen=True, slots=True)
class ChoraleSlices:
    """The slices of several chorales, one after the other.

    ``pitches`` (slices, 4) MIDI numbers, lowest first; ``song`` (slices,) index
    into ``names``; ``beat`` (slices,) quarters from the first instant of the
    file; ``flags`` (slices,) a sum of CROSSED, FERMATA and BREAK;
    ``key_sharps`` (names,) the printed signature, flats negative.
    """

    names: tuple[str, ...]
    pitches: NDArray[np.uint8]
    song: NDArray[np.uint16]
    beat: NDArray[np.uint16]
    flags: NDArray[np.uint8]
    key_sharps: NDArray[np.int8]

    def __post_init__(self) -> None:
        """Refuse arrays whose lengths disagree."""
        lengths = {len(self.pitches), len(self.song), len(self.beat), len(self.flags)}
        if len(lengths) != 1 or len(self.names) != len(self.key_sharps):
            raise ValueError(
                f"Slices of {len(self.names)} chorales have unequal lengths {lengths}."
            )


def read_chorales(names: Sequence[str]) -> ChoraleSlices:
    """Read the chorales of these names in the music21 corpus ("bwv6.6"), in this order."""
    rows: list[tuple[tuple[int, ...], int, int, int]] = []
    sharps: list[int] = []
    for song, name in enumerate(names):
        score = _parse(name)
        rows += [(pitches, song, beat, flags) for pitches, beat, flags in _slice(score)]
        sharps.append(_read_signature(score))
    return ChoraleSlices(
        names=tuple(names),
        pitches=np.array([row[0] for row in rows], np.uint8).reshape(-1, 4),
        song=np.array([row[1] for row in rows], np.uint16),
        beat=np.array([row[2] for row in rows], np.uint16),
        flags=np.array([row[3] for row in rows], np.uint8),
        key_sharps=np.array(sharps, np.int8),
    )


def _parse(name: str) -> Any:
    from music21 import corpus

    return corpus.parse(f"bach/{name}")


def _read_signature(score: Any) -> int:
    return int(score.recurse().getElementsByClass("KeySignature").first().sharps)


def _slice(score: Any) -> Iterator[tuple[tuple[int, ...], int, int]]:
    voices = [_lay_out(part) for part in _find_voices(score)]
    last = max(max(voice, default=-1) for voice in voices)
    kept: tuple[tuple[int, ...], int, int] | None = None
    broken = True
    for beat in range(last + 1):
        sounding = [voice.get(beat) for voice in voices]
        if None in sounding:
            broken = True
            continue
        pitches = [note[0] for note in sounding if note]
        rising = tuple(sorted(pitches))
        fermata = FERMATA if any(note[1] for note in sounding if note) else 0
        if kept and not broken and kept[0] == rising:
            kept = (rising, kept[1], kept[2] | fermata)
            continue
        if kept:
            yield kept
        crossed = CROSSED if list(rising) != pitches else 0
        kept = (rising, beat, crossed | fermata | (BREAK if broken else 0))
        broken = False
    if kept:
        yield kept


def _find_voices(score: Any) -> list[Any]:
    """Find the four singing parts, lowest first; instruments beside them are left out."""
    parts = list(score.parts)
    if len(parts) == len(VOICES):
        return parts[::-1]
    by_name = {part.id: part for part in parts}
    return [by_name[voice] for voice in VOICES]


def _lay_out(part: Any) -> dict[int, tuple[int, bool]]:
    """Give the MIDI number sounding on each whole beat, and whether it bears a fermata."""
    sounding: dict[int, tuple[int, bool]] = {}
    for note in part.flatten().notes:
        start = Fraction(note.offset)
        end = start + Fraction(note.quarterLength)
        fermata = any("Fermata" in mark.classes for mark in note.expressions)
        for beat in range(ceil(start), ceil(end)):
            sounding[beat] = (note.pitches[-1].midi, fermata)
    return sounding
