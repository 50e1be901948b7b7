"""Melodies without a key: idioms that need none, nothing pulled to a tonic, no key told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from harmony.errors import HarmonyError
from harmony.harmonising.change import idioms_named
from harmony.harmonising.figures import SYMBOLS, name_chords
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.pitch.key import Key

NO_KEY = "none"
#: Idioms whose chords follow the tune or each other, not the degrees of a key.
IDIOMS_WITHOUT_KEY = ("third-relations", "quartal", "parallel", "own")
_WEIGHTS = {"key_distance": 0.0, "cadence": 0.0}


def is_no_key(key: Key | str | None) -> bool:
    """True where the composer says that a melody has no key.

    >>> is_no_key("no key"), is_no_key("none"), is_no_key("D")
    (True, True, False)
    """
    return isinstance(key, str) and key.strip().lower() in (NO_KEY, "no key")


def weigh_without_key(
    idioms: Sequence[str], weights: Mapping[str, float] | None
) -> dict[str, float]:
    """Give the weights of a search without a key: neither distance nor cadence counts.

    Raises
    ------
    HarmonyError
        For an idiom that goes by the degrees of a key.
    """
    for text in idioms:
        for written in idioms_named(text):
            name = written.partition(":")[0].strip().lower()
            if name not in IDIOMS_WITHOUT_KEY:
                raise HarmonyError(
                    f"The idiom {name!r} goes by the degrees of a key;"
                    f" {', '.join(IDIOMS_WITHOUT_KEY)} do without, or set a key.",
                    where="key",
                )
    return {**(weights or {}), **_WEIGHTS}


def leave_out_keys(found: Harmonisations) -> Harmonisations:
    """Give harmonisations whose chords stand in no key and are named by symbols."""
    named = name_chords(found, SYMBOLS)
    return replace(
        named, alternatives=tuple(map(_without_key, named.alternatives)), is_keyless=True
    )


def _without_key(one: Harmonisation) -> Harmonisation:
    slots = tuple(replace(slot, key=None) for slot in one.progression)
    theme = replace(one.theme, key=None)
    return replace(one, theme=theme, progression=replace(one.progression, slots=slots))
