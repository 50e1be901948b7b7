"""Plain columns for people's eyes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def format_columns(
    heads: Sequence[str], rows: Iterable[Sequence[str]], *, right: Iterable[int] = ()
) -> str:
    """Lay rows out under their heads, two spaces between columns.

    Parameters
    ----------
    heads
        One head a column.
    rows
        Rows of as many cells.
    right
        The columns set flush right, counted from 0.
    """
    table = [tuple(heads), *(tuple(row) for row in rows)]
    widths = [max(len(row[column]) for row in table) for column in range(len(heads))]
    flush_right = set(right)
    lines = [
        "  ".join(
            cell.rjust(width) if column in flush_right else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in table
    ]
    return "\n".join(lines)


def format_quarters(value: float) -> str:
    """Write a beat or a length as short as it can be read: 1, 2.5, 1.333."""
    return f"{float(value):.3f}".rstrip("0").rstrip(".")
