"""The instruments and ensembles that are known by name."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.instruments.instrument import Instrument
from harmony.instruments.joining import join
from harmony.instruments.layout import build_ensemble, read_ensemble_file
from harmony.instruments.naming import fold, suggest
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch
from harmony.resources import find_data
from harmony.tables import read_rows, read_toml

INSTRUMENT_TABLE = "instruments.csv"
ENSEMBLE_FOLDER = "ensembles"
_COLUMNS = (
    "name",
    "aliases",
    "family",
    "written_low",
    "written_high",
    "easy_written_low",
    "easy_written_high",
    "transposition",
    "clefs",
    "range_origin",
    "easy_origin",
    "transposition_origin",
)


def instrument(name: str) -> Instrument:
    """Give an instrument by its name or another name of the trade, in any case.

    >>> instrument("cor anglais").name
    'english horn'

    Raises
    ------
    HarmonyError
        For a name nobody here knows, with the nearest one that is known.
    """
    found = _instruments_by_name().get(fold(name))
    if found is None:
        raise HarmonyError(
            f"No instrument is called {name.strip()!r}{suggest(name, list(_known_instruments()))}.",
            where=name.strip(),
        )
    return found


def instruments() -> tuple[Instrument, ...]:
    """Give every instrument of the catalogue, in score order."""
    distinct = dict.fromkeys(_instruments_by_name().values())
    return tuple(sorted(distinct, key=lambda one: one.score_place))


def ensemble(name: str | Path | Ensemble) -> Ensemble:
    """Give an ensemble by name, from a TOML file, or several joined by ``+``.

    Parameters
    ----------
    name
        A name of :func:`ensemble_names` in any case; the path of a file ending
        in ``.toml``; two or more of these joined by ``+``; or an ensemble,
        which is given back as it is.

    Raises
    ------
    HarmonyError
        For a name nobody here knows, or a file that cannot be read.

    >>> [voice.name for voice in ensemble("satb choir").voices]
    ['Soprano', 'Alto', 'Tenor', 'Bass']
    """
    if isinstance(name, Ensemble):
        return name
    if isinstance(name, Path):
        return read_ensemble_file(name, instrument)
    # A path may hold a plus sign, so a whole word that names a file comes first.
    if name.strip().casefold().endswith(".toml") and Path(name.strip()).is_file():
        return read_ensemble_file(Path(name.strip()), instrument)
    parts = [part.strip() for part in name.split("+")]
    if not all(parts):
        raise HarmonyError(
            f"{name!r} lacks the name of an ensemble"
            f"{' beside the plus sign' if len(parts) > 1 else ''}; "
            f"accepted are {', '.join(ensemble_names())}, or a .toml file.",
            where=name,
        )
    return join([_find_ensemble(part) for part in parts])


@cache
def ensemble_names() -> tuple[str, ...]:
    """Give the names of the ensembles that are shipped, in the order of their files."""
    return tuple(str(table["name"]) for table in _ensemble_tables().values())


def _find_ensemble(name: str) -> Ensemble:
    if name.casefold().endswith(".toml"):
        return read_ensemble_file(Path(name).expanduser(), instrument)
    table = _ensemble_tables().get(fold(name))
    if table is None:
        raise HarmonyError(
            f"No ensemble is called {name!r}{suggest(name, list(ensemble_names()))}; "
            f"accepted are {', '.join(ensemble_names())}, or a .toml file.",
            where=name,
        )
    return _shipped_ensemble(fold(name))


@cache
def _shipped_ensemble(folded: str) -> Ensemble:
    return build_ensemble(_ensemble_tables()[folded], instrument, where=ENSEMBLE_FOLDER)


@cache
def _ensemble_tables() -> dict[str, dict[str, object]]:
    folder = find_data(ENSEMBLE_FOLDER)
    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".toml"))
    tables = [read_toml(f"{ENSEMBLE_FOLDER}/{name}") for name in names]
    tables.sort(key=lambda table: int(table.get("order", 99)))
    return {fold(str(table["name"])): table for table in tables}


@cache
def _instruments_by_name() -> dict[str, Instrument]:
    found: dict[str, Instrument] = {}
    for names, one in read_rows(INSTRUMENT_TABLE, _read_instrument, needs=_COLUMNS):
        for name in names:
            if fold(name) in found:
                raise HarmonyError(
                    f"{INSTRUMENT_TABLE}: two instruments are called {name!r}.",
                    where=INSTRUMENT_TABLE,
                )
            found[fold(name)] = one
    return found


@cache
def _known_instruments() -> tuple[str, ...]:
    rows = read_rows(INSTRUMENT_TABLE, _read_instrument, needs=_COLUMNS)
    return tuple(name for names, _ in rows for name in names)


def _read_instrument(row: Mapping[str, str]) -> tuple[tuple[str, ...], Instrument]:
    transposition = Interval.from_text(row["transposition"])
    draft = Instrument(
        name=row["name"],
        family=row["family"],
        low=Pitch.from_text(row["written_low"]),
        high=Pitch.from_text(row["written_high"]),
        easy_low=Pitch.from_text(row["easy_written_low"]),
        easy_high=Pitch.from_text(row["easy_written_high"]),
        transposition=transposition,
    )
    built = Instrument(
        name=row["name"],
        family=row["family"],
        low=draft.to_sounding(draft.low),
        high=draft.to_sounding(draft.high),
        easy_low=draft.to_sounding(draft.easy_low),
        easy_high=draft.to_sounding(draft.easy_high),
        transposition=transposition,
        clefs=tuple(row["clefs"].split()),
        staves=int(row["staves"]),
        strength=float(row["strength"]),
        sustains={"yes": True, "no": False}[row["sustains"]],
        abbreviation=row["abbreviation"],
        sound=row["sound"],
        midi_program=int(row["midi_program"]),
        section_strength=float(row["section_strength"]),
        spectrum=row["spectrum"],
        score_place=int(row["score_place"]),
        source=f"{row['source']} ({row['range_origin']})",
    )
    aliases = tuple(alias for alias in row["aliases"].split(";") if alias)
    return (row["name"], *aliases), built
