"""Reading checked tables: CSV files whose every row says where it is from."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from harmony.errors import HarmonyError
from harmony.resources import find_data

T = TypeVar("T")


def read_text(name: str) -> str:
    """Give the text of a file under harmony/data."""
    return find_data(*name.split("/")).read_text(encoding="utf-8")


def read_toml(name: str) -> dict[str, Any]:
    """Read a TOML file under harmony/data."""
    return tomllib.loads(read_text(name))


def read_rows(
    name: str, build: Callable[[Mapping[str, str]], T], *, needs: tuple[str, ...] = ()
) -> tuple[T, ...]:
    """Read a CSV file under harmony/data, one value a row.

    ``build`` makes a value from a row; ``needs`` are columns that must exist
    (``source`` always must, and be filled). All faults are reported at once, each
    with file, row and column.
    """
    reader = csv.DictReader(read_text(name).splitlines())
    columns = reader.fieldnames or []
    faults = [
        f"{name}: the column {column} is missing"
        for column in ("source", *needs)
        if column not in columns
    ]
    if faults:
        raise HarmonyError("; ".join(faults) + ".", where=name)
    built: list[T] = []
    for number, row in enumerate(reader, start=2):
        if not row["source"]:
            faults.append(f"{name}, row {number}, column source: empty")
        try:
            built.append(build(row))
        except (ValueError, KeyError, TypeError) as fault:
            faults.append(f"{name}, row {number}: {fault}")
    if faults:
        raise HarmonyError("; ".join(faults) + ".", where=name)
    return tuple(built)
