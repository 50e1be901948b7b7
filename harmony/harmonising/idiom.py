"""Idioms: which chords there are, how they follow each other, and by what laws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.tables import read_toml

IDIOMS = (
    "common-practice", "modal", "romantic", "third-relations", "extended", "quartal",
    "parallel", "pedal", "ostinato", "own",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Idiom:
    """An idiom as its file says it: data/idioms/NAME.toml.

    ``engine`` names how its chords are made; ``weights`` are the usual weights of
    its costs; ``sources`` are keys of data/sources.bib. ``table`` is the whole file.
    ``own_chords`` is the composer's list, for the idiom ``own`` only.
    """

    name: str
    title: str
    sentence: str
    engine: str
    sources: tuple[str, ...]
    laws: tuple[str, ...]
    weights: Mapping[str, float]
    table: Mapping[str, Any]
    own_chords: tuple[str, ...] = ()

    @property
    def has_strands(self) -> bool:
        """True where every alternative is laid on a pedal or on a bass that repeats."""
        return self.engine in ("pedal", "ostinato")

    @property
    def hangs_from_tune(self) -> bool:
        """True where chords hang from the tune, stacked or planing, and close by other means."""
        return self.engine in ("quartal", "parallel")

    def for_mode(self, name: str, key: Key, default: object = None) -> Any:
        """Give a part of the file that differs by mode."""
        part = self.table.get(name, {})
        if key.mode in part:
            return part[key.mode]
        return part.get("minor" if key.is_minor else "major", default)


@cache
def load_idiom(name: str) -> Idiom:
    """Load an idiom by name; ``own: Dm7 G/B C`` lists the composer's chords.

    Raises
    ------
    HarmonyError
        For a name there is not, with the names there are.
    """
    word, colon, rest = name.partition(":")
    word = word.strip().lower()
    if word not in IDIOMS:
        raise HarmonyError(
            f"{name!r} is no idiom known here; known are {', '.join(IDIOMS)}.", where="idiom"
        )
    chords = tuple(rest.replace("|", " ").split()) if colon else ()
    if word == "own" and not chords:
        raise HarmonyError(
            "The idiom 'own' needs its chords, such as 'own: Dm7 G/B Cmaj7'.", where="idiom"
        )
    table = read_toml(f"idioms/{word}.toml")
    return Idiom(
        word, table["title"], table["sentence"], table["engine"], tuple(table["sources"]),
        tuple(table["laws"]), table["weights"], table, chords,
    )  # fmt: skip
