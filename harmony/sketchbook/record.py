"""What is remembered of a keep beside its score: how it was made, and from what."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from harmony.errors import HarmonyError

FORMAT = "harmony keep"
VERSION = 1
_LARGEST_BYTES = 20_000_000
_TEXTS = ("desk", "source", "ensemble", "status", "kept_at", "score_sha256")
_NUMBERS = ("weights", "terms")
_KINDS: dict[type, str] = {str: "a text", dict: "a table", list: "a list"}
_LISTS = ("pins", "ancestry")


@dataclass(frozen=True, slots=True)
class Record:
    """How something kept was made.

    ``desk`` names the desk it came from, ``source`` is the text or the file it
    began with, ``weights`` and ``terms`` (weighted cost by term) are by term,
    ``pins`` are written as on the command line ("3.1 Alto=E4"), ``ancestry`` are
    the names of the keeps or files it was derived from and by what, oldest
    first. ``settings`` holds whatever else the desk needs to open it again, as
    plain JSON. ``kept_at`` (ISO 8601) and ``score_sha256`` are filled in on
    keeping; the latter tells whether the score was edited since.
    """

    desk: str
    source: str = ""
    ensemble: str = ""
    weights: Mapping[str, float] = field(default_factory=dict)
    pins: tuple[str, ...] = ()
    cost: float | None = None
    terms: Mapping[str, float] = field(default_factory=dict)
    status: str = ""
    ancestry: tuple[str, ...] = ()
    settings: Mapping[str, Any] = field(default_factory=dict)
    kept_at: str = ""
    score_sha256: str = ""

    def to_json(self) -> dict[str, Any]:
        """Give the record as plain JSON."""
        return {
            "format": FORMAT,
            "version": VERSION,
            "desk": self.desk,
            "source": self.source,
            "ensemble": self.ensemble,
            "weights": dict(self.weights),
            "pins": list(self.pins),
            "cost": self.cost,
            "terms": dict(self.terms),
            "status": self.status,
            "ancestry": list(self.ancestry),
            "settings": dict(self.settings),
            "kept_at": self.kept_at,
            "score_sha256": self.score_sha256,
        }

    def to_bytes(self) -> bytes:
        """Give the record as the text of its file."""
        try:
            text = json.dumps(self.to_json(), indent=1, ensure_ascii=False, allow_nan=False)
        except (TypeError, ValueError) as fault:
            raise HarmonyError(f"The record of this keep cannot be written: {fault}.") from fault
        return (text + "\n").encode("utf-8")


def read_record(data: bytes, *, name: str) -> Record:
    """Read a record, checking every field.

    Raises
    ------
    HarmonyError
        Saying what in ``name`` is not as a record is written.
    """
    if len(data) > _LARGEST_BYTES:
        raise HarmonyError(
            f"{name} is far too long for the record of a keep; one that a desk wrote is accepted.",
            where=name,
        )
    try:
        found = json.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as fault:
        raise HarmonyError(
            f"{name} is damaged or not the record of a keep; the score beside it can still be"
            " opened in a notation program.",
            where=name,
        ) from fault
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        raise HarmonyError(
            f"{name} is not the record of a keep; those written by a desk are accepted.", where=name
        )
    if found.get("version") != VERSION:
        raise HarmonyError(
            f"{name} was written by a later workbench (version {found.get('version')!r}); "
            f"this one reads version {VERSION}.",
            where=name,
        )
    return Record(**_checked(found, name))


def _checked(found: Mapping[str, Any], name: str) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key in _TEXTS:
        values[key] = _take(found, key, str, "", name)
    for key in _NUMBERS:
        table = _take(found, key, dict, {}, name)
        if not all(_is_number(value) for value in table.values()):
            raise _fault(name, key, "numbers by term")
        values[key] = {str(term): float(value) for term, value in table.items()}
    for key in _LISTS:
        items = _take(found, key, list, [], name)
        if not all(isinstance(item, str) for item in items):
            raise _fault(name, key, "a list of texts")
        values[key] = tuple(items)
    cost = found.get("cost")
    if cost is not None and not _is_number(cost):
        raise _fault(name, "cost", "a number")
    values["cost"] = None if cost is None else float(cost)
    values["settings"] = _take(found, "settings", dict, {}, name)
    return values


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _take(found: Mapping[str, Any], key: str, kind: type, default: object, name: str) -> Any:
    value = found.get(key, default)
    if not isinstance(value, kind):
        raise _fault(name, key, _KINDS[kind])
    return value


def _fault(name: str, key: str, expected: str) -> HarmonyError:
    return HarmonyError(
        f"{name} is damaged: {key!r} should be {expected}; the score beside it can still be opened"
        " in a notation program.",
        where=f"{name}, {key}",
    )
