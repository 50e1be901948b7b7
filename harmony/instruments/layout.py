"""An ensemble from a table: the shipped ones and a composer's own TOML file."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from harmony.errors import HarmonyError, reason_of
from harmony.instruments.ensemble import Ensemble, Voice
from harmony.instruments.instrument import Instrument, Player
from harmony.instruments.naming import fold, suggest
from harmony.pitch.spelling import Pitch

#: Names of the sets of costs (design: presets of the voicing).
PRESETS = ("chorale", "strings", "brass", "woodwinds", "horns", "keyboard", "parallel", "free")
_KEYS = ("name", "order", "preset", "source", "gaps", "voices", "groups", "staves", "spans")
_VOICE_KEYS = ("name", "instrument", "count", "low", "high")
_PART_KEYS = {
    "groups": ("name", "voices"),
    "staves": ("name", "voices"),
    "spans": ("name", "voices", "semitones"),
}
_LARGEST_FILE_BYTES = 200_000

FindInstrument = Callable[[str], Instrument]


def read_ensemble_file(path: Path, find: FindInstrument) -> Ensemble:
    """Read an ensemble from a composer's TOML file.

    Parameters
    ----------
    path
        The file; its keys are those of the files in harmony/data/ensembles.
    find
        Gives an instrument by its name.

    Raises
    ------
    HarmonyError
        If the file is missing, is no TOML, or describes no ensemble.
    """
    try:
        if path.stat().st_size > _LARGEST_FILE_BYTES:
            raise HarmonyError(
                f"{path} is far too long for an ensemble; a file of a few lines is accepted.",
                where=str(path),
            )
        table = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise HarmonyError(
            f"There is no file {str(path)!r}; the path of an ensemble's .toml file is accepted.",
            where=str(path),
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise HarmonyError(
            f"{path} cannot be read as TOML: {str(fault).rstrip('.')}.", where=str(path)
        ) from fault
    except ValueError as fault:  # a sign that no path may hold
        raise HarmonyError(
            f"{str(path)!r} is no path of a file; the path of an ensemble's .toml file is"
            " accepted.",
            where=str(path),
        ) from fault
    except OSError as fault:
        raise HarmonyError(
            f"{path} cannot be opened: {reason_of(fault)}.", where=str(path)
        ) from fault
    return build_ensemble(table, find, where=str(path))


def build_ensemble(table: Mapping[str, Any], find: FindInstrument, *, where: str) -> Ensemble:
    """Build an ensemble from the table of its TOML file.

    Raises
    ------
    HarmonyError
        Naming ``where``, the key and what is accepted.
    """
    try:
        return _build(table, find)
    except HarmonyError as fault:
        raise HarmonyError(f"{where}: {fault.message}", where=where) from fault


def _build(table: Mapping[str, Any], find: FindInstrument) -> Ensemble:
    _check_keys(table, _KEYS, needs=("name", "voices"), of="the ensemble")
    name = _text(table, "name", of="the ensemble")
    preset = str(table.get("preset", "chorale"))
    if preset not in PRESETS:
        raise HarmonyError(
            f"the preset {preset!r} is not known{suggest(preset, PRESETS)};"
            f" accepted are {', '.join(PRESETS)}."
        )
    rows = table["voices"]
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise HarmonyError("each voice is a table of its own under [[voices]].")
    voices = tuple(_build_voice(row, find) for row in rows)
    places = {fold(voice.name): place for place, voice in enumerate(voices)}
    return Ensemble(
        name=name,
        voices=voices,
        groups=tuple((n, v) for n, v, _ in _read_parts(table, "groups", places)),
        gaps=_read_gaps(table, len(voices)),
        preset=preset,
        staves=tuple((n, v) for n, v, _ in _read_parts(table, "staves", places)),
        spans=_read_parts(table, "spans", places),
        source=str(table.get("source", "")),
    )


def _build_voice(row: Mapping[str, Any], find: FindInstrument) -> Voice:
    _check_keys(row, _VOICE_KEYS, needs=("name", "instrument"), of="a voice")
    name = _text(row, "name", of="a voice")
    played = find(_text(row, "instrument", of=name))
    low = _pitch(row, "low", played.easy_low, of=name)
    high = _pitch(row, "high", played.easy_high, of=name)
    if not (played.has_in_range(low) and played.has_in_range(high)):
        raise HarmonyError(
            f"the register of {name}, {low} to {high}, goes beyond what sounds on"
            f" {played.name}: {played.low} to {played.high}."
        )
    count = row.get("count", 1)
    if not isinstance(count, int) or isinstance(count, bool):
        raise HarmonyError(f"the count of {name} is {count!r}; a whole number is accepted.")
    return Voice(name, Player(played, count), low, high)


def _read_gaps(table: Mapping[str, Any], voices: int) -> tuple[int, ...]:
    gaps = table.get("gaps", [])
    if not isinstance(gaps, list) or not all(
        isinstance(gap, int) and not isinstance(gap, bool) and 0 <= gap <= 96 for gap in gaps
    ):
        raise HarmonyError("gaps is a list of semitones from 0 (no limit) to 96, top pair first.")
    if gaps and len(gaps) != voices - 1:
        raise HarmonyError(
            f"gaps has {len(gaps)} numbers; {voices} voices take {voices - 1}, top pair first."
        )
    return tuple(gaps)


def _read_parts(
    table: Mapping[str, Any], key: str, places: Mapping[str, int]
) -> tuple[tuple[str, tuple[int, ...], int], ...]:
    rows = table.get(key, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise HarmonyError(f"each of the {key} is a table of its own under [[{key}]].")
    parts: list[tuple[str, tuple[int, ...], int]] = []
    for row in rows:
        _check_keys(row, _PART_KEYS[key], needs=_PART_KEYS[key], of=f"one of the {key}")
        inside = row["voices"]
        if not isinstance(inside, list) or not inside:
            raise HarmonyError(
                f"{key} {row['name']!r} has the voices {inside!r}; a list of their names is"
                " accepted."
            )
        for voice in inside:
            if fold(str(voice)) not in places:
                raise HarmonyError(
                    f"{key} {row['name']!r} names {voice!r}, which is none of the voices."
                )
        width = row.get("semitones", 0)
        if not isinstance(width, int) or isinstance(width, bool) or not 0 <= width <= 36:
            raise HarmonyError(f"{key} {row['name']!r}: semitones is a whole number up to 36.")
        parts.append((str(row["name"]), tuple(places[fold(str(v))] for v in inside), width))
    return tuple(parts)


def _check_keys(
    row: Mapping[str, Any], known: Sequence[str], *, needs: Sequence[str], of: str
) -> None:
    for key in row:
        if key not in known:
            raise HarmonyError(
                f"{key!r} is no word for {of}{suggest(key, known)};"
                f" accepted are {', '.join(known)}."
            )
    for key in needs:
        if key not in row:
            raise HarmonyError(f"{of} has no {key}.")


def _text(row: Mapping[str, Any], key: str, *, of: str) -> str:
    value = row[key]
    if not isinstance(value, str) or not value.strip():
        raise HarmonyError(f"the {key} of {of} is {value!r}; a name in quotes is accepted.")
    return value.strip()


def _pitch(row: Mapping[str, Any], key: str, otherwise: Pitch, *, of: str) -> Pitch:
    if key not in row:
        return otherwise
    return Pitch.from_text(_text(row, key, of=of))
