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
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch
from harmony.resources import expand_home, find_data
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
    row = _rows_by_name().get(fold(name))
    if row is None:
        raise HarmonyError(
            f"No instrument is called {name.strip()!r}{suggest(name, instrument_names())};"
            " clarinet in Bb, horn in F or violin would be known.",
            where=name.strip(),
        )
    return _build_instrument(row["name"])


@cache
def instruments() -> tuple[Instrument, ...]:
    """Give every instrument of the catalogue, in score order."""
    built = (_build_instrument(row["name"]) for row in _rows())
    return tuple(sorted(built, key=lambda one: one.score_place))


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
    if name.strip().casefold().endswith(".toml") and _is_file(name.strip()):
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


def _is_file(path: str) -> bool:
    try:
        return Path(path).is_file()
    except (OSError, ValueError):  # too long for a path, or a sign none may hold
        return False


@cache
def ensemble_names() -> tuple[str, ...]:
    """Give the names of the ensembles that are shipped, in the order of their files."""
    tables = [read_toml(f"{ENSEMBLE_FOLDER}/{name}") for name in _shipped_files()]
    tables.sort(key=lambda table: int(table["order"]))
    return tuple(str(table["name"]) for table in tables)


def _find_ensemble(name: str) -> Ensemble:
    if name.casefold().endswith(".toml"):
        return read_ensemble_file(expand_home(name), instrument)
    # a shipped file is called by its ensemble's name, so one file is read, not all
    file_name = f"{fold(name).replace(' ', '_')}.toml"
    if file_name in _shipped_files():
        return _shipped_ensemble(file_name)
    raise HarmonyError(
        f"No ensemble is called {name!r}{suggest(name, list(ensemble_names()))}; "
        f"accepted are {', '.join(ensemble_names())}, or a .toml file.",
        where=name,
    )


@cache
def _shipped_files() -> frozenset[str]:
    return frozenset(path.name for path in find_data(ENSEMBLE_FOLDER).glob("*.toml"))


@cache
def _shipped_ensemble(file_name: str) -> Ensemble:
    place = f"{ENSEMBLE_FOLDER}/{file_name}"
    return build_ensemble(read_toml(place), instrument, where=place)


def instrument_names() -> tuple[str, ...]:
    """Give every name an instrument is known by, other names of the trade among them."""
    return tuple(name for row in _rows() for name in _names_of(row))


@cache
def _rows() -> tuple[Mapping[str, str], ...]:
    return read_rows(INSTRUMENT_TABLE, dict, needs=_COLUMNS)


@cache
def _rows_by_name() -> dict[str, Mapping[str, str]]:
    found: dict[str, Mapping[str, str]] = {}
    for row in _rows():
        for name in _names_of(row):
            if found.setdefault(fold(name), row) is not row:
                raise HarmonyError(
                    f"{INSTRUMENT_TABLE}: two instruments are called {name!r}.",
                    where=INSTRUMENT_TABLE,
                )
    return found


def _names_of(row: Mapping[str, str]) -> tuple[str, ...]:
    return (row["name"], *(alias for alias in row["aliases"].split(";") if alias))


@cache
def _build_instrument(name: str) -> Instrument:
    """Build the instrument whose row has this very name; only those asked for are built."""
    row = _rows_by_name()[fold(name)]
    transposition = Interval.from_text(row["transposition"])

    def sounding(column: str) -> Pitch:
        return transpose(Pitch.from_text(row[column]), transposition)

    return Instrument(
        name=row["name"],
        family=row["family"],
        low=sounding("written_low"),
        high=sounding("written_high"),
        easy_low=sounding("easy_written_low"),
        easy_high=sounding("easy_written_high"),
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
