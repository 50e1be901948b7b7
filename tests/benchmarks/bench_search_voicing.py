"""Voicing re-weighted to a proven optimum: against an empty kernel, CP-SAT and music21.

The empty kernel is the same search over as many chords with one voicing each: all the
calls and none of the work.  Times are best of runs; counts are asserted.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from harmony.errors import NoSolutionError
from harmony.instruments.catalogue import ensemble
from harmony.search import ArrayPairs, Layers, best_path, compiled, large, pack
from harmony.voicings.api import prepare
from harmony.voicings.pricing import price_here
from harmony.voicings.problem import Problem
from harmony.voicings.rules import KeepsShape, NoConsecutivePerfects, RuleSet
from tests.benchmarks.ledger import Ledger

CHORDS = tuple("I IV6 V7 I vi ii6 V I I V6 vi IV I64 V7 I I".split())  # noqa: SIM905
OTHERS = tuple("ii65 V7/V iii V65 I6 viio6 V43 bVI N6 ii7 V42".split())  # noqa: SIM905
RUNS = 25
BEST_OF = 3


def progression_of(length: int) -> str:
    """A progression of `length` chords, the second and later sixteens varied."""
    rng = random.Random(length)
    chords = list(CHORDS[:length])
    while len(chords) < length:
        chords.append(rng.choice(CHORDS + OTHERS))
    return "C: " + " | ".join(chords)


def choir_in(voices: int):
    """The SATB choir, its parts divided for five, six and eight voices."""
    choir = ensemble("SATB choir")
    if voices == 4:
        return choir
    parts = {5: (0, 0, 1, 2, 3), 6: (0, 0, 1, 2, 2, 3), 8: (0, 0, 1, 1, 2, 2, 3, 3)}[voices]
    divided = tuple(
        replace(choir.voices[part], name=f"{choir.voices[part].name} {number}")
        for number, part in enumerate(parts, start=1)
    )
    gaps = (*(12,) * (voices - 2), 0)
    return replace(choir, voices=divided, gaps=gaps, groups=(), staves=())


def empty_kernel(length: int) -> Callable[[int], object]:
    """The search over `length` layers of one choice each."""
    names = tuple("abcdefghijklmnop")
    one = np.zeros((16, 1), dtype=np.int32)
    step = ArrayPairs(names, np.ones((16, 1, 1), dtype=np.int16))
    packed = pack(Layers(names, (one,) * length, (step,) * (length - 1)))

    def run(number: int) -> object:
        weights = np.full(16, 1 + number / 4)
        return best_path(packed.weigh(weights, weights))

    return run


def measure_seconds(run: Callable[[int], object], runs: int = RUNS) -> tuple[float, float]:
    """Median and 95th percentile over runs of the best of three."""
    times = []
    for number in range(runs):
        best = float("inf")
        for again in range(BEST_OF):
            started = time.perf_counter()
            run(number * BEST_OF + again)
            best = min(best, time.perf_counter() - started)
        times.append(best)
    return statistics.median(times), sorted(times)[int(0.95 * len(times))]


def reweight(problem: Problem) -> Callable[[int], object]:
    """Ask for the best under ever other weights of motion."""
    usual = problem.preset.weights["motion"]

    def run(number: int) -> object:
        best = problem.best({"motion": round(usual * (1 + number / 50), 3)})
        assert best.outcome.status == "optimal"
        return best

    return run


@pytest.mark.parametrize(("voices", "length"), [(v, n) for v in (4, 5, 6) for n in (8, 16, 32, 64)])
def test_reweighted(voices: int, length: int, ledger: Ledger) -> None:
    started = time.perf_counter()
    problem = prepare(progression_of(length), choir_in(voices))
    _ = problem.packed
    built = time.perf_counter() - started
    median, late = measure_seconds(reweight(problem), RUNS if voices < 6 else 9)
    empty, _ = measure_seconds(empty_kernel(length))
    enter_reweighted(ledger, f"{voices}x{length}", (median, late, empty, built))
    counts = problem.best().outcome.counts
    sizes = problem.layers.sizes
    assert counts.choices <= sum(sizes)
    assert counts.steps <= sum(n * m for n, m in pairwise(sizes))
    print(
        f"\n{voices} voices, {length} chords: {median * 1e3:.2f} ms (p95 {late * 1e3:.2f}),"
        f" {median / empty:.1f} x the empty kernel ({empty * 1e3:.2f} ms);"
        f" tables {built * 1e3:.0f} ms; {sum(sizes)} voicings, {counts.steps} steps weighed"
    )


def enter_reweighted(ledger: Ledger, size: str, seconds: tuple[float, ...]) -> None:
    """Write down what of this size is promised; from the median, p95, empty kernel and tables."""
    median, late, empty, built = seconds
    if f"reweighted_{size}" in ledger.aims:
        note = f"p95 {late * 1e3:.2g}"
        ledger.enter(f"reweighted_{size}", median * 1e3, ratio=median / empty, note=note)
    if f"tables_{size}" in ledger.aims:
        ledger.enter(f"tables_{size}", built * 1e3)


@pytest.mark.parametrize("engine", ["compiled", "plain"])
@pytest.mark.parametrize("length", [8, 16])
def test_eight_voices(
    length: int, engine: str, monkeypatch: pytest.MonkeyPatch, ledger: Ledger
) -> None:
    """From cold but for the compiled code, and again under another weight."""
    if engine == "compiled":
        started = time.perf_counter()
        while compiled.find_engine("int32") is None:
            time.sleep(0.01)
        print(f"\nthe compiled engine is there after {time.perf_counter() - started:.1f} s")
    else:
        monkeypatch.setattr(large.best_path_large, "__kwdefaults__", {"find": lambda kind: None})
    problem = prepare(progression_of(length), choir_in(8), preset="strings")
    assert problem.is_large
    seen: list[float] = []

    def note_time(_: object) -> bool:
        seen.append(time.perf_counter())
        return True

    times = []
    for weight in (0.6, 0.61):
        seen.clear()
        started = time.perf_counter()
        best = problem.best({"motion": weight}, report=note_time)
        times.append((seen[0] - started, time.perf_counter() - started))
        assert best.outcome.status == "optimal"
    steps = sum(n * m for n, m in pairwise(problem.layers.sizes))
    assert best.outcome.counts.steps < steps * (0.25 if engine == "compiled" else 0.65)
    (first, whole), (again_first, again) = times
    if (length, engine) == (16, "compiled"):
        ledger.enter("eight_good", first)
        ledger.enter("eight_proven", whole)
    print(
        f"\n8 voices, {length} chords, {engine}: incumbent after {first:.2f} s, proven after"
        f" {whole:.2f} s; re-weighted {again_first:.2f} and {again:.2f} s;"
        f" {best.outcome.counts.steps} of {steps} steps worked out in full"
    )


OTHERWISE = {
    "strings": {},
    "parallel": {"preset": "parallel"},
    "shape kept": {"preset": "parallel", "rules": RuleSet(steps=(KeepsShape(4),))},
    "movement": {"movement": {"Alto 4": ("passing", "suspension")}},
}


def test_eight_voices_under_other_measures_and_rules() -> None:
    """Sixteen chords from cold, each in processor time too, as ratios to the usual costs."""
    while any(compiled.find_engine(kind) is None for kind in ("int32", "int64")):
        time.sleep(0.01)
    usual = 0.0
    for name, asked in OTHERWISE.items():
        started, busy = time.perf_counter(), time.process_time()
        problem = prepare(progression_of(16), choir_in(8), **{"preset": "strings"} | asked)
        seen: list[float] = []
        best = problem.best(
            report=lambda _, seen=seen: bool(seen.append(time.perf_counter()) or True)
        )
        whole, busy = time.perf_counter() - started, time.process_time() - busy
        usual = usual or busy
        assert best.outcome.status == "optimal"
        steps = sum(n * m for n, m in pairwise(problem.layers.sizes))
        assert best.outcome.counts.steps < steps / 4
        print(
            f"\n8 voices, 16 chords, {name}: good after {seen[0] - started:.2f} s, proven after"
            f" {whole:.2f} s ({busy:.2f} s of the processor, {busy / usual:.1f} x the usual costs);"
            f" {best.outcome.counts.steps} of {steps} steps worked out in full"
        )


def test_no_way_for_eight_voices_without_consecutives() -> None:
    """A rule that nothing keeps: proven and told."""
    strict = RuleSet(steps=(NoConsecutivePerfects(),))
    problem = prepare(progression_of(16), choir_in(8), strict, preset="strings")
    started, busy = time.perf_counter(), time.process_time()
    with pytest.raises(NoSolutionError) as told:
        problem.best()
    print(
        f"\n{told.value} Told after {time.perf_counter() - started:.2f} s"
        f" ({time.process_time() - busy:.2f} s of the processor)"
    )


def test_prices_for_eight_voices() -> None:
    """Every note's price, and every cost's at every chord, against the proof alone."""
    problem = prepare(progression_of(16), choir_in(8), preset="strings")
    times = []
    for ask in (problem.best, problem.prices, lambda: price_here(problem)):
        started = time.process_time()
        ask()
        times.append(time.process_time() - started)
    proof, notes, chords = times
    print(
        f"\n8 voices, 16 chords, processor time: proof {proof:.2f} s, prices of all notes"
        f" {notes:.2f} s ({notes / proof:.1f} x), of all costs at all chords {chords:.2f} s"
        f" ({chords / proof:.1f} x)"
    )


def test_against_cp_sat_on_eight_chords(ledger: Ledger) -> None:
    from ortools.sat.python import cp_model

    text = progression_of(8)
    started = time.perf_counter()
    problem = prepare(text, "SATB choir")
    ours = problem.best()
    cold = time.perf_counter() - started
    again, _ = measure_seconds(reweight(problem))

    layers = problem.layers
    rates = np.array([problem.preset.weights[c.name] / c.grain for c in problem.costs])
    whole = np.rint(rates * 10_000).astype(np.int64)
    started = time.perf_counter()
    model = cp_model.CpModel()
    choice = [model.new_int_var(0, n - 1, "") for n in layers.sizes]
    parts = []
    for variable, terms in zip(choice, layers.single, strict=True):
        costs = (whole @ terms).tolist()
        parts.append(model.new_int_var(min(costs), max(costs), ""))
        model.add_element(variable, costs, parts[-1])
    for (here, there), steps in zip(pairwise(choice), layers.pair, strict=True):
        rows, cols = (np.arange(n) for n in steps.shape)
        costs = np.tensordot(whole, steps.block(rows, cols).astype(np.int64), axes=1)
        parts.append(model.new_int_var(int(costs.min()), int(costs.max()), ""))
        table = [(r, c, int(costs[r, c])) for r in rows.tolist() for c in cols.tolist()]
        model.add_allowed_assignments([here, there, parts[-1]], table)
    model.minimize(sum(parts))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    assert solver.solve(model) == cp_model.OPTIMAL
    theirs = time.perf_counter() - started
    ledger.enter("cp_sat_cold", theirs / cold)
    ledger.enter("cp_sat_reweighted", theirs / again)
    assert solver.objective_value == pytest.approx(ours.cost * 10_000, abs=0.5)
    print(
        f"\n8 chords, the same optimum {ours.cost:.2f}: CP-SAT {theirs:.2f} s, ours cold"
        f" {cold * 1e3:.0f} ms ({theirs / cold:.0f} times faster), re-weighted"
        f" {again * 1e3:.2f} ms ({theirs / again:.0f} times faster)"
    )


def test_against_music21_counting_figured_basses(ledger: Ledger) -> None:
    import warnings

    from harmony.pitch.key import Key
    from harmony.pitch.spelling import Pitch
    from tests.oracle.figured_bass import FiguredChord, count_realisations, forget
    from tests.oracle.test_music21_realiser import count_with_music21

    rng = random.Random(5)
    key, highest = Key.from_text("C"), Pitch.from_text("B5")
    figures = ("", "6", "6,4", "6,5", "7", "4,3")
    lines = [
        [
            FiguredChord.read(rng.choice(key.scale).in_octave(3), rng.choice(figures), key)
            for _ in range(length)
        ]
        for length in (8, 16, 32, 64)
    ]
    ours = theirs = float("inf")
    largest = 0
    for _ in range(BEST_OF):
        forget()  # ours starts as cold as theirs; what lines share is worked out once
        started = time.perf_counter()
        counts = [count_realisations(chords, 4, highest) for chords in lines]
        ours = min(ours, time.perf_counter() - started)
        started = time.perf_counter()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            assert [count_with_music21(key, chords, 4, highest) for chords in lines] == counts
        theirs = min(theirs, time.perf_counter() - started)
        largest = max(counts)
    ledger.enter("realiser", theirs / ours)
    print(
        f"\nfigured basses of 8 to 64 chords counted alike (largest {largest:,}): music21"
        f" {theirs:.2f} s, ours {ours * 1e3:.0f} ms, {theirs / ours:.0f} times faster"
    )
