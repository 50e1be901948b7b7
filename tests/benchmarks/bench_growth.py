"""How the times grow, told and drawn; counts are asserted, times only told."""

from __future__ import annotations

import time
from itertools import pairwise
from pathlib import Path

from harmony.harmonising.api import harmonise
from harmony.search import compiled
from harmony.themes.canon import find_canons
from harmony.themes.stretto import find_strettos
from harmony.voicings.api import prepare
from tests.benchmarks.bench_canon import theme_of
from tests.benchmarks.bench_harmonise import hymn
from tests.benchmarks.bench_search_voicing import choir_in, progression_of
from tests.benchmarks.growth import Series, draw_growth
from tests.benchmarks.timing import timed

CHORDS = (4, 8, 16, 32, 64)
VOICES = (4, 5, 6, 8)
BARS = (4, 8, 16, 32, 40)
RUNS = 5


def measure_voicing(voices: int, length: int) -> tuple[float, int]:
    """Prove the best under new weights; the milliseconds of the best run, voicings weighed."""
    problem = prepare(progression_of(length), choir_in(voices), preset="strings")
    usual = problem.preset.weights["motion"]
    if not problem.is_large:
        _ = problem.packed
    best_ms = float("inf")
    for run in range(1 if problem.is_large else RUNS):
        started = time.perf_counter()
        best = problem.best({"motion": usual * (1 + run / 50)})
        best_ms = min(best_ms, (time.perf_counter() - started) * 1e3)
        assert best.outcome.status == "optimal"
    counts, sizes = best.outcome.counts, problem.layers.sizes
    assert counts.choices <= sum(sizes)
    assert 0 < counts.steps <= sum(n * m for n, m in pairwise(sizes))
    print(
        f"{voices} voices, {length:2} chords: {best_ms:9.2f} ms,"
        f" {counts.choices} voicings, {counts.steps} steps weighed"
    )
    return best_ms, counts.choices


def save_drawing(folder: Path, name: str, title: str, across: str, series: Series) -> None:
    drawing = draw_growth(title, across, series)
    assert drawing.count("<circle") == sum(len(points) for points in series.values())
    path = folder / f"growth_of_{name}.svg"
    path.write_text(drawing + "\n", encoding="utf-8")
    print(f"drawn in {path}")


def test_growth_of_voicing(bench_folder: Path) -> None:
    print()
    while compiled.is_installed() and compiled.find_engine("int32") is None:
        time.sleep(0.01)
    grown = {}
    for voices in VOICES:
        found = [measure_voicing(voices, length) for length in CHORDS]
        assert all(fewer < more for (_, fewer), (_, more) in pairwise(found))
        grown[f"{voices} voices"] = [(n, ms) for n, (ms, _) in zip(CHORDS, found, strict=True)]
    title = "Time to a proven best voicing, by chords and voices"
    save_drawing(bench_folder, "voicing", title, "chords", grown)


def test_growth_of_canons(bench_folder: Path) -> None:
    ways = {
        "2 voices": find_canons,
        "3 voices": lambda theme: find_strettos(theme, 3),
        "4 voices": lambda theme: find_strettos(theme, 4),
    }
    grown = {
        name: [(bars, 1e3 * timed(lambda n=bars, f=find: f(theme_of(n)), runs=3)) for bars in BARS]
        for name, find in ways.items()
    }
    title = "Time to all canons of a theme, by bars and voices"
    save_drawing(bench_folder, "canons", title, "bars of 4/4", grown)


def test_growth_of_harmonising(bench_folder: Path) -> None:
    idioms = ("common-practice", "modal", "romantic", "third-relations")
    grown = {
        idiom: [
            (bars, 1e3 * timed(lambda n=bars, i=idiom: harmonise(hymn(n), idioms=(i,)), runs=3))
            for bars in BARS
        ]
        for idiom in idioms
    }
    title = "Time to five harmonisations, a chord a beat, by bars"
    save_drawing(bench_folder, "harmonising", title, "bars of 4/4", grown)
