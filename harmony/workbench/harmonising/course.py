"""Small line plots of an alternative: what it costs, how quick and how plain it is, bar by bar."""

from __future__ import annotations

from collections.abc import Sequence

from harmony.harmonising.compare import Measure, measure
from harmony.harmonising.harmonisation import Harmonisation

#: the measures that have a course, with what is written beside their lines
LINES = {
    "cost": "cost by bar, the dot at the dearest",
    "chords a bar": "chords a bar",
    "notes outside their chord": "notes of the tune outside their chord",
}
_WIDTH, _HEIGHT = 360, 46  # of each line
_EDGE, _TOP, _FOOT = 6, 20, 6


def draw_course(one: Harmonisation) -> str:
    """Give SVG with a line for each measure, one under the other over the same bars."""
    shown = [own for own in measure(one) if own.name in LINES]
    shown.sort(key=lambda own: list(LINES).index(own.name))
    bars = sorted({bar for own in shown for bar, _value in own.course})
    lines = "".join(_draw_line(own, bars, place * _HEIGHT) for place, own in enumerate(shown))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT * len(shown)}"'
        ' style="width:100%;max-width:360px;height:auto;color:var(--hw-ink)">' + lines + "</svg>"
    )


def _draw_line(own: Measure, bars: Sequence[int], top: int) -> str:
    values: list[float] = []
    for bar in bars:
        # A bar in which the chord before holds costs what that chord does.
        held = values[-1] if values else 0.0
        values.append(max(0.0, dict(own.course).get(bar, held)))
    highest = max([*values, 0.001])
    step = (_WIDTH - 2 * _EDGE) / max(1, len(values) - 1)
    floor, room = top + _HEIGHT - _FOOT, _HEIGHT - _TOP - _FOOT
    points = [
        (_EDGE + step * place, floor - room * value / highest) for place, value in enumerate(values)
    ]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dot = ""
    if own.name == "cost":
        x, y = points[values.index(max(values))]
        dot = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="currentColor"/>'
    return (
        f'<text x="{_EDGE}" y="{top + 12}" font-size="12" fill="currentColor">'
        f"{LINES[own.name]}</text>"
        f'<path d="M{_EDGE} {floor} H{_WIDTH - _EDGE}" stroke="currentColor"'
        ' stroke-opacity="0.35" fill="none"/>'
        f'<polyline points="{line}" fill="none" stroke="currentColor" stroke-width="2"/>{dot}'
    )
