"""The table of chord qualities, and how a set of degrees finds its name in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from harmony.chords.quality import Degree, Quality
from harmony.errors import HarmonyError
from harmony.tables.reading import read_rows

TABLE = "qualities.csv"

#: Spelled for what they resolve to, so never named from a set of degrees alone.
FUNCTIONAL = frozenset({"it6", "ger6", "fr6", "sw6", "tristan"})


@dataclass(frozen=True, slots=True)
class QualityRow:
    """A row of the table.

    ``symbol`` is what a player reads after the root, ``kind`` the MusicXML 4.0
    kind it is written from, ``harte`` its shorthand in Harte's syntax or empty,
    ``words`` its name in words, ``source`` where the content is from.
    """

    quality: Quality
    symbol: str
    kind: str
    harte: str
    words: str
    source: str


def _build_row(row: Mapping[str, str]) -> QualityRow:
    quality = Quality.from_text(row["name"], row["degrees"])
    return QualityRow(
        quality, row["symbol"], row["kind"], row["harte"], row["words"], row["source"]
    )


@cache
def rows_by_name() -> dict[str, QualityRow]:
    """Give the table, by name, in its own order."""
    rows = read_rows(TABLE, _build_row, needs=("name", "degrees", "symbol", "kind", "words"))
    return {row.quality.name: row for row in rows}


@cache
def find_quality(name: str) -> Quality:
    """Give the quality of a name such as ``dom7``.

    Raises
    ------
    HarmonyError
        If the table has no such name.
    """
    row = rows_by_name().get(name)
    if row is None:
        raise HarmonyError(
            f"{name!r} is not a chord quality; known are {', '.join(rows_by_name())}."
        )
    return row.quality


@cache
def _searched() -> tuple[tuple[frozenset[Degree], Quality], ...]:
    found = [
        (frozenset(row.quality.degrees), row.quality)
        for name, row in rows_by_name().items()
        if name not in FUNCTIONAL
    ]
    # Largest first; the sort is stable, so the table's order settles the rest.
    return tuple(sorted(found, key=lambda pair: -len(pair[0])))


@lru_cache(maxsize=4096)
def name_degrees(degrees: frozenset[Degree]) -> tuple[Quality, tuple[Degree, ...]]:
    """Find the quality that explains most of a set of degrees, and what it leaves over.

    >>> quality, added = name_degrees(frozenset(map(Degree.from_text, "1 3 5 9".split())))
    >>> quality.name, [str(degree) for degree in added]
    ('maj', ['9'])
    """
    for known, quality in _searched():
        if known <= degrees:
            rest = degrees - known
            if _is_explained(quality, rest):
                return quality, tuple(sorted(rest))
    ordered = tuple(sorted(degrees))
    return Quality(" ".join(str(degree) for degree in ordered), ordered), ()


def _is_explained(quality: Quality, rest: Iterable[Degree]) -> bool:
    """Refuse a name that would leave a second fifth over, or a third over an open fifth."""
    numbers = {degree.number for degree in rest}
    if quality.name == "unison":
        return not numbers
    if quality.name == "power":
        return 3 not in numbers and 5 not in numbers
    return 5 not in numbers
