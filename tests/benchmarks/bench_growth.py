"""How the search grows in chords and in voices: a table, and a drawing for who asks for one.

Set HARMONY_BENCH_FOLDER to a folder, and `growth.svg` is saved into it.  Counts are
asserted; times are best of runs and only told.
"""

from __future__ import annotations

import math
import os
import time
from itertools import pairwise
from pathlib import Path

from harmony.search import compiled
from harmony.voicings.api import prepare
from tests.benchmarks.bench_search_voicing import choir_in, progression_of

FOLDER = "HARMONY_BENCH_FOLDER"
LENGTHS = (4, 8, 16, 32, 64)
RUNS = 5
DASHES = {4: "", 5: "8 3", 6: "4 3", 8: "1 3"}
WIDTH, HEIGHT, MARGIN = 640, 420, 60
FEWEST_MS, MOST_MS = 0.1, 100_000.0

Growth = dict[int, list[tuple[int, float]]]
"""For each number of voices the chords and the milliseconds."""


def measure_growth() -> Growth:
    """Prove the best under new weights, 4 to 8 voices and 4 to 64 chords."""
    grown: Growth = {}
    while compiled.is_installed() and compiled.find_engine("int32") is None:
        time.sleep(0.01)
    for voices in DASHES:
        choices = 0
        for length in LENGTHS:
            problem = prepare(progression_of(length), choir_in(voices), preset="strings")
            usual = problem.preset.weights["motion"]
            if not problem.is_large:
                _ = problem.packed
            best_ms = float("inf")
            for run in range(RUNS if voices < 8 else 1):
                started = time.perf_counter()
                best = problem.best({"motion": usual * (1 + run / 50)})
                best_ms = min(best_ms, (time.perf_counter() - started) * 1e3)
                assert best.outcome.status == "optimal"
            counts, sizes = best.outcome.counts, problem.layers.sizes
            assert choices < counts.choices <= sum(sizes)
            assert 0 < counts.steps <= sum(n * m for n, m in pairwise(sizes))
            choices = counts.choices
            grown.setdefault(voices, []).append((length, best_ms))
            print(
                f"{voices} voices, {length:2} chords: {best_ms:9.2f} ms,"
                f" {counts.choices} voicings, {counts.steps} steps weighed"
            )
    return grown


def place_point(chords: float, ms: float) -> tuple[float, float]:
    """Where a measurement stands, both scales logarithmic."""
    across = math.log(chords / LENGTHS[0]) / math.log(LENGTHS[-1] / LENGTHS[0])
    up = math.log(ms / FEWEST_MS) / math.log(MOST_MS / FEWEST_MS)
    room = WIDTH - 2 * MARGIN - 40, HEIGHT - 2 * MARGIN
    return MARGIN + room[0] * across, HEIGHT - MARGIN - room[1] * min(max(up, 0), 1)


def draw_growth(grown: Growth) -> str:
    """The drawing: chords across, time up, a line for each number of voices."""
    left, bottom = place_point(LENGTHS[0], FEWEST_MS)
    right, top = place_point(LENGTHS[-1], MOST_MS)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img"'
        ' font-family="sans-serif" font-size="13"><title>Time to a proven best voicing</title>'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
        f'<text x="{left}" y="28">Time to a proven best voicing, by chords and voices</text>',
    ]
    for chords in LENGTHS:
        x, y = place_point(chords, FEWEST_MS)
        parts.append(f'<text x="{x:.1f}" y="{y + 20:.1f}" text-anchor="middle">{chords}</text>')
    for power in range(-1, 6):
        y = place_point(LENGTHS[0], 10.0**power)[1]
        parts.append(f'<path d="M{left} {y:.1f}H{right}" stroke="#ddd"/>')
        words = f"{10.0**power:g} ms" if power < 3 else f"{10 ** (power - 3)} s"
        parts.append(f'<text x="{left - 6}" y="{y + 4:.1f}" text-anchor="end">{words}</text>')
    parts.append(f'<path d="M{left} {top}V{bottom}H{right}" fill="none" stroke="black"/>')
    parts.append(f'<text x="{right}" y="{bottom + 40}" text-anchor="end">chords</text>')
    for voices, points in grown.items():
        places = [place_point(*point) for point in points]
        route = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
        parts.append(
            f'<polyline points="{route}" fill="none" stroke="black" stroke-width="2"'
            f' stroke-dasharray="{DASHES[voices]}"/>'
        )
        parts += [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>' for x, y in places]
        x, y = places[-1]
        parts.append(f'<text x="{x + 8:.1f}" y="{y + 4:.1f}">{voices} voices</text>')
    return "\n".join([*parts, "</svg>"])


def test_growth() -> None:
    print()
    grown = measure_growth()
    drawing = draw_growth(grown)
    assert drawing.count("<circle") == sum(len(points) for points in grown.values())
    if FOLDER in os.environ:
        folder = Path(os.environ[FOLDER])
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "growth.svg").write_text(drawing + "\n", encoding="utf-8")
        print(f"drawn in {folder / 'growth.svg'}")
