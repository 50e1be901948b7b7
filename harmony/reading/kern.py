"""What a kern file must be before it is parsed: every line as wide as its spines.

A line with a column too few sends the parser looking for the rest for minutes, and so
does a meter of thousands of beats.
"""

from __future__ import annotations

import re

from harmony.errors import HarmonyError

MOST_BEATS = 64
_METER = re.compile(r"\*M(\d[\d+]*)/(\d+)")


def check_kern(text: str, *, name: str) -> None:
    """Refuse a line whose number of columns is not that of the spines open, and meters no bar has.

    Raises
    ------
    HarmonyError
        With the line at fault.
    """
    spines = 0
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.startswith("!!"):
            continue
        columns = line.split("\t")
        if line.startswith("**"):
            spines = spines or len(columns)
        if not spines:
            raise HarmonyError(
                f"Line {number} of {name} stands before any spine; a kern file begins with a line"
                " such as **kern.",
                where=f"line {number}",
            )
        if len(columns) != spines:
            raise HarmonyError(
                f"Line {number} of {name} has {_columns(len(columns))} where {_columns(spines)}"
                " are open; one for each, a tab between them, is accepted.",
                where=f"line {number}",
            )
        if line.startswith("*"):
            _check_meters(columns, f"line {number} of {name}")
            spines = _spines_after(columns)


def _check_meters(columns: list[str], place: str) -> None:
    for found in filter(None, map(_METER.match, columns)):
        beats = sum(int(group) for group in found[1].split("+") if group)
        # A lower figure of 0 is the breve.
        if not (1 <= beats <= MOST_BEATS and int(found[2]) <= MOST_BEATS):
            raise HarmonyError(
                f"The meter {found[0][2:]} in {place} is none; such as *M3/4 or *M12/8 is accepted,"
                f" with up to {MOST_BEATS} beats.",
                where=place,
            )


def _spines_after(columns: list[str]) -> int:
    """Count the spines after a line of interpretations: split, joined, opened, ended."""
    count = len(columns)
    for place, word in enumerate(columns):
        if word in ("*^", "*+"):
            count += 1
        elif word == "*-" or (word == "*v" and place and columns[place - 1] == "*v"):
            count -= 1
    return count


def _columns(number: int) -> str:
    return "one column" if number == 1 else f"{number} columns"
