"""Harte's chord syntax (Harte, Sandler, Abdallah and Gomez, ISMIR 2005): ``D:maj7/3``."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from harmony.chords.chord import Chord
from harmony.chords.qualities import name_degrees, rows_by_name
from harmony.chords.quality import Degree
from harmony.errors import TextError
from harmony.pitch.interval import transpose
from harmony.pitch.spelling import PitchName

_LABEL = re.compile(
    r"(?P<root>[A-G][#b]*)"
    r"(?::(?P<name>[a-z]*\d*(?:[a-z]+\d*)?)?(?:\((?P<list>[^()]*)\))?)?"
    r"(?:/(?P<bass>[#b]*\d+))?"
)
_ITEM = re.compile(r"(\*?)([#b]*\d+)")
EXPECTED = "a label such as D:maj7, G:7(b9), A:min/b3 or N"
#: Shorthands of the paper that the table of qualities does not spell the same way.
_ALSO = {"": "maj", "7": "dom7", "9": "dom9", "11": "dom11", "13": "dom13"}


def is_harte(word: str) -> bool:
    """Say whether a word has the shape of a Harte label that is no plain chord symbol."""
    # Without its colon a label such as C/9 is a symbol: players read an added ninth.
    return re.match(r"[A-G][#b]*:\S", word) is not None


@cache
def _shorthands() -> dict[str, tuple[Degree, ...]]:
    rows = rows_by_name()
    known = {row.harte: row.quality.degrees for row in rows.values() if row.harte}
    known |= {short: rows[name].quality.degrees for short, name in _ALSO.items()}
    known |= {name: row.quality.degrees for name, row in rows.items() if name not in known}
    return known


@lru_cache(maxsize=4096)
def read_harte(label: str) -> Chord | None:
    """Read a label; None for ``N`` (no chord) and ``X`` (unknown).

    Raises
    ------
    TextError
        With the label, where it cannot be read.

    >>> chord = read_harte("G#:min(*b3,*5)/5")
    >>> [str(name) for name in chord.names]
    ['D#', 'G#']
    """
    if label in ("N", "X"):
        return None
    match = _LABEL.fullmatch(label)
    if match is None:
        raise _fault(label, 0, len(label))
    name, listed = match["name"] or "", match["list"]
    if name not in _shorthands():
        raise _fault(label, match.start("name"), match.end("name"))
    # A list alone says every note but the root.
    full = set(_shorthands()[name]) if name or listed is None else {Degree(1)}
    full, omitted = _change(full, listed or "", label, match)
    root = PitchName.from_text(match["root"])
    bass = root
    if match["bass"]:
        bass = transpose(root, Degree.from_text(match["bass"]).interval)
    quality, added = name_degrees(frozenset(full))
    # With its colon a figure is a Harte label wherever it is read again.
    figure = label if ":" in label or not match["bass"] else label.replace("/", ":maj/")
    return Chord(
        root, quality, bass, tuple(d for d in added if d not in omitted),
        tuple(sorted(omitted)), figure,
    )  # fmt: skip


def _change(
    full: set[Degree], listed: str, label: str, match: re.Match[str]
) -> tuple[set[Degree], set[Degree]]:
    """Add the listed degrees; what is starred stays in the quality but does not sound."""
    omitted: set[Degree] = set()
    for item in filter(None, (part.strip() for part in listed.split(","))):
        found = _ITEM.fullmatch(item)
        if found is None:
            raise _fault(label, match.start("list"), match.end("list"))
        degree = Degree.from_text(found[2])
        if not found[1]:
            full.add(degree)
        elif degree in full:
            omitted.add(degree)
    if omitted:
        numbers = {d.number for d in full - omitted}
        replaced = {d for d in omitted if d.number in numbers}
        full -= replaced  # 7(*5,#5): the fifth is altered, not left out
        omitted -= replaced
    return full, omitted


def _fault(label: str, start: int, end: int) -> TextError:
    return TextError(
        f"{label!r} is not a Harte label: at {label[start:end]!r} {EXPECTED} is accepted.",
        text=label,
        start=start,
        end=end,
        expected=EXPECTED,
    )
