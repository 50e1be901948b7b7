"""How times grow: a drawing with logarithmic scales, a line for each series."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

WIDTH, HEIGHT, MARGIN = 640, 420, 60
ROOM_FOR_NAMES = 60
DASHES = ("", "8 3", "4 3", "1 3", "8 3 1 3")

Series = Mapping[str, Sequence[tuple[float, float]]]
"""For each name its points: how much there was, and the milliseconds it took."""


@dataclass(frozen=True, slots=True)
class Scales:
    """Both scales of a drawing: the sizes across and the milliseconds up, lowest and highest."""

    sizes: tuple[float, float]
    milliseconds: tuple[float, float]

    @classmethod
    def around(cls, series: Series) -> Scales:
        """Hold every point, times between whole powers of ten."""
        points = [point for line in series.values() for point in line]
        sizes, times = zip(*points, strict=True)
        low, high = math.floor(math.log10(min(times))), math.ceil(math.log10(max(times)))
        return cls((min(sizes), max(sizes)), (10.0**low, 10.0 ** max(high, low + 1)))

    def place(self, size: float, milliseconds: float) -> tuple[float, float]:
        """Where a point stands."""
        across, up = (
            math.log(value / low) / math.log(high / low)
            for value, (low, high) in ((size, self.sizes), (milliseconds, self.milliseconds))
        )
        wide, tall = WIDTH - 2 * MARGIN - ROOM_FOR_NAMES, HEIGHT - 2 * MARGIN
        return MARGIN + wide * across, HEIGHT - MARGIN - tall * up


def draw_growth(title: str, across: str, series: Series) -> str:
    """Draw times against sizes, ``across`` being what the sizes count."""
    scales = Scales.around(series)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img"'
        f' font-family="sans-serif" font-size="13"><title>{title}</title>'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
        f'<text x="{MARGIN}" y="28">{title}</text>',
        *_draw_axes(scales, across, sorted({x for line in series.values() for x, _ in line})),
    ]
    for (name, points), dashes in zip(series.items(), DASHES, strict=False):
        places = [scales.place(*point) for point in points]
        route = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
        parts.append(
            f'<polyline points="{route}" fill="none" stroke="black" stroke-width="2"'
            f' stroke-dasharray="{dashes}"/>'
        )
        parts += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>' for x, y in places]
        x, y = places[-1]
        parts.append(f'<text x="{x + 8:.1f}" y="{y + 4:.1f}">{name}</text>')
    return "\n".join([*parts, "</svg>"])


def _draw_axes(scales: Scales, across: str, sizes: Sequence[float]) -> list[str]:
    fewest, most = scales.milliseconds
    left, bottom = scales.place(scales.sizes[0], fewest)
    right, top = scales.place(scales.sizes[1], most)
    parts = []
    for size in sizes:
        x = scales.place(size, fewest)[0]
        parts.append(f'<text x="{x:.1f}" y="{bottom + 20}" text-anchor="middle">{size:g}</text>')
    for power in range(round(math.log10(fewest)), round(math.log10(most)) + 1):
        y = scales.place(sizes[0], 10.0**power)[1]
        words = f"{10.0**power:g} ms" if power < 3 else f"{10 ** (power - 3)} s"
        parts.append(f'<path d="M{left} {y:.1f}H{right}" stroke="#ddd"/>')
        parts.append(f'<text x="{left - 6}" y="{y + 4:.1f}" text-anchor="end">{words}</text>')
    parts.append(f'<path d="M{left} {top}V{bottom}H{right}" fill="none" stroke="black"/>')
    parts.append(f'<text x="{right}" y="{bottom + 40}" text-anchor="end">{across}</text>')
    return parts
