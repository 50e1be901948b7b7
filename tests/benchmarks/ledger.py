"""The ledger of a run: what was promised (aims.csv), and what is measured beside it."""

from __future__ import annotations

import csv
import operator
from dataclasses import dataclass
from pathlib import Path

AIMS = Path(__file__).with_name("aims.csv")
HEADINGS = ("issue", "figure", "aim", "measured", "to its reference", "")
_SENSES = {"at most": operator.le, "at least": operator.ge}


@dataclass(frozen=True, slots=True)
class Aim:
    """A promised figure: ``sense`` says on which side of ``value`` it is met."""

    issue: int
    name: str
    what: str
    sense: str
    value: float
    unit: str
    reference: str

    def is_met_by(self, measured: float) -> bool:
        """Say whether a measured value is as good as what was promised."""
        return bool(_SENSES[self.sense](measured, self.value))


@dataclass(frozen=True, slots=True)
class Measurement:
    """What was measured; ``ratio`` is what it is of the reference in the same run."""

    value: float
    ratio: float | None = None
    note: str = ""


def read_aims() -> dict[str, Aim]:
    """Give every promised figure by its name, in the order of the issues."""
    with AIMS.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    aims = {
        row["name"]: Aim(
            int(row["issue"]),
            row["name"],
            row["what"],
            row["sense"],
            float(row["aim"]),
            row["unit"],
            row["reference"],
        )
        for row in rows
    }
    assert len(aims) == len(rows), "a figure is named twice"
    assert {aim.sense for aim in aims.values()} <= set(_SENSES)
    return aims


class Ledger:
    """Takes measurements in, and tells them beside their aims."""

    def __init__(self) -> None:
        self.aims = read_aims()
        self.measured: dict[str, Measurement] = {}

    def enter(self, name: str, value: float, *, ratio: float | None = None, note: str = "") -> None:
        """Write down what was measured for a promised figure, in the aim's unit.

        ``ratio`` is measured / reference, both of this run.
        """
        assert name in self.aims, f"{name} is not promised in {AIMS.name}"
        self.measured[name] = Measurement(value, ratio, note)

    def rows(self) -> list[tuple[str, ...]]:
        """Give the table, a row for every promised figure that was measured in this run."""
        return [self._row(self.aims[name]) for name in self.aims if name in self.measured]

    def tell_missing(self) -> str:
        """Name the promised figures that were not measured in this run."""
        names = [name for name in self.aims if name not in self.measured]
        return f"not measured in this run: {', '.join(names) or 'none'}"

    def _row(self, aim: Aim) -> tuple[str, ...]:
        found = self.measured[aim.name]
        promised = (str(aim.issue), aim.what, f"{aim.sense} {write_value(aim.value, aim.unit)}")
        value = write_value(found.value, aim.unit) + (f" ({found.note})" if found.note else "")
        ratio = f"against {aim.reference}" if aim.reference else ""
        if found.ratio is not None:
            ratio = f"{write_number(found.ratio)} x {aim.reference}"
        return (*promised, value, ratio, "met" if aim.is_met_by(found.value) else "NOT met")


def write_number(value: float) -> str:
    """Write a number with three figures that count, whole ones of any size in full.

    >>> write_number(0.70712), write_number(41.96), write_number(30186.4)
    ('0.707', '42', '30186')
    """
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"


def write_value(value: float, unit: str) -> str:
    """Write a number with its unit; a share needs no word."""
    return f"{write_number(value)} {'' if unit == 'share' else unit}".strip()


def write_text_table(rows: list[tuple[str, ...]]) -> str:
    """Write the table in columns, for a terminal."""
    widths = [max(map(len, column)) for column in zip(HEADINGS, *rows, strict=True)]
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in (HEADINGS, *rows))


def write_markdown_table(rows: list[tuple[str, ...]]) -> str:
    """Write the table as DEVELOPERS.md holds it."""
    lines = [HEADINGS, ("---",) * len(HEADINGS), *rows]
    return "".join("| " + " | ".join(line) + " |\n" for line in lines)
