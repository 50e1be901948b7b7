"""Lines and words of a hand-written SVG: ink on the ground there is, no colours."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

FAMILY = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', sans-serif"
SOFT = 0.76  # of the ink; on either ground still 4.5 to 1


def draw_line(
    start: tuple[float, float],
    end: tuple[float, float],
    *,
    width: float = 1.0,
    ink: float = 1.0,
    dashes: str = "",
) -> str:
    """Draw a straight line; ``ink`` is its opacity."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}"'
        f' stroke="currentColor" stroke-width="{width:.2f}" stroke-opacity="{ink}"{dashed}/>'
    )


def draw_path(data: str, *, width: float = 1.0, ink: float = 1.0, dashes: str = "") -> str:
    """Draw an open path."""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<path d="{data}" fill="none" stroke="currentColor" stroke-width="{width:.2f}"'
        f' stroke-opacity="{ink}" stroke-linejoin="round"{dashed}/>'
    )


def draw_dot(x: float, y: float, *, radius: float = 3.2, is_hollow: bool = False) -> str:
    """Draw a dot, or a ring."""
    filled = 'fill="none" stroke="currentColor"' if is_hollow else 'fill="currentColor"'
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius}" {filled}/>'


def write(
    words: str,
    x: float,
    y: float,
    *,
    size: float = 12.0,
    anchor: str = "start",
    is_bold: bool = False,
    ink: float = 1.0,
) -> str:
    """Write words on the baseline ``y``."""
    weight = ' font-weight="600"' if is_bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}"'
        f' fill="currentColor" fill-opacity="{ink}"{weight}>{escape(words)}</text>'
    )


def draw_warning(x: float, y: float) -> str:
    """Draw the sign of a finding, a triangle with a stroke and a dot, centred on (x, y)."""
    return (
        f'<path d="M{x:.1f} {y - 8:.1f}l8.5 15h-17z" fill="none" stroke="currentColor"'
        f' stroke-width="1.5" stroke-linejoin="round"/>'
        f'<path d="M{x:.1f} {y - 3:.1f}v5m0 2v1.6" stroke="currentColor" stroke-width="1.6"/>'
    )


def frame_picture(marks: Sequence[str], *, width: float, height: float, label: str) -> str:
    """Give a whole picture. ``label`` says in words what it shows."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" role="img"'
        f' aria-label="{escape(label)}" font-family="{FAMILY}">{"".join(marks)}</svg>'
    )


def keep_apart(wanted: Sequence[float], gap: float) -> list[float]:
    """Move heights as little as need be, so that neighbours are at least ``gap`` apart.

    Their order stays; groups that touch are centred on where they wanted to be.
    """
    order = sorted(range(len(wanted)), key=lambda place: wanted[place])
    groups: list[list[float]] = []  # [sum of what the members want for the first, count]
    for place in order:
        groups.append([wanted[place], 1.0])
        while len(groups) > 1 and _first(groups[-2]) + groups[-2][1] * gap > _first(groups[-1]):
            later = groups.pop()
            earlier = groups[-1]
            earlier[0] += later[0] - later[1] * earlier[1] * gap
            earlier[1] += later[1]
    moved = [0.0] * len(wanted)
    member = 0
    for group in groups:
        first = _first(group)
        for step in range(int(group[1])):
            moved[order[member]] = first + step * gap
            member += 1
    return moved


def _first(group: Sequence[float]) -> float:
    return group[0] / group[1]
