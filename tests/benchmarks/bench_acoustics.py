"""All measures of sonorities, against a plain numpy loop over the same pairs.

Aims on two cores at rest: one chord of 12 notes with 16 partials each in 1 ms,
64 such chords in 30 ms, 150 four-part candidates in 5 ms. The reference goes over
the pairs of notes one after another, each pair's partials as one numpy block, for
the three roughness models that know pairs; it does less than what is compared.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
import pytest

from harmony.acoustics.band import hutchinson_knopoff_bandwidth_hz
from harmony.acoustics.measure import measure_voicings
from harmony.acoustics.roughness import plomp_levelt_curve, sethares_curve, vassilakis_weight
from harmony.acoustics.spectrum import plain_amplitudes
from harmony.units import midi_to_hz

CASES = [(1, 12, 1.0), (64, 12, 30.0), (150, 4, 5.0)]
REPEATS = 41


def loop_over_pairs(voicings: np.ndarray, levels: np.ndarray) -> np.ndarray:
    """Give three roughness sums of each voicing, note pair by note pair."""
    numbers = np.arange(1, len(levels) + 1)
    weights = levels[:, None] * levels[None, :]
    smaller = np.minimum(levels[:, None], levels[None, :])
    beats = vassilakis_weight(levels[:, None], levels[None, :])
    sums = np.zeros((len(voicings), 3))
    for place, voicing in enumerate(voicings):
        tones = [midi_to_hz(int(note)) * numbers for note in voicing]
        for i, first in enumerate(tones):
            for second in tones[i:]:
                apart = np.abs(first[:, None] - second[None, :])
                lower = np.minimum(first[:, None], second[None, :])
                bands = apart / hutchinson_knopoff_bandwidth_hz(lower + apart / 2.0)
                curve = sethares_curve(apart, lower)
                sums[place] += (
                    (weights * plomp_levelt_curve(bands)).sum(),
                    (smaller * curve).sum(),
                    (beats * curve).sum(),
                )
    return sums


def time_milliseconds(work: Callable[[], object], repeats: int) -> float:
    taken = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        taken.append(time.perf_counter() - started)
    return 1000.0 * statistics.median(taken)


@pytest.mark.parametrize(("count", "notes", "aim"), CASES)
def test_all_measures(count: int, notes: int, aim: float) -> None:
    chance = np.random.default_rng(7)
    voicings = np.sort(
        [chance.choice(np.arange(31, 90), notes, replace=False) for _ in range(count)], axis=1
    )
    levels = plain_amplitudes(16)
    measure_voicings(voicings, levels)  # tables made
    ours = time_milliseconds(lambda: measure_voicings(voicings, levels), REPEATS)
    loop = time_milliseconds(lambda: loop_over_pairs(voicings, levels), 3)
    print(
        f"\n{count} sonorities of {notes} notes, 16 partials each: all measures {ours:.2f} ms,"
        f" aim {aim:g} ms {'met' if ours <= aim else 'NOT met'};"
        f" numpy loop over note pairs {loop:.1f} ms, {loop / ours:.0f} times as long"
    )
