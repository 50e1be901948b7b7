"""All measures of sonorities, against a plain numpy loop over the same pairs.

The reference goes over the pairs of notes one after another, each pair's partials as
one numpy block, for the three roughness models that know pairs; it does less than what
is compared.
"""

from __future__ import annotations

import numpy as np
import pytest

from harmony.acoustics.band import hutchinson_knopoff_bandwidth_hz
from harmony.acoustics.measure import measure_voicings
from harmony.acoustics.roughness import plomp_levelt_curve, sethares_curve, vassilakis_weight
from harmony.acoustics.spectrum import plain_amplitudes
from harmony.units import midi_to_hz
from harmony.voicings.api import prepare
from harmony.workbench.spacing.view import Scene, SpacingPanel
from tests.benchmarks.ledger import Ledger
from tests.benchmarks.timing import timed

CASES = [(1, 12, "sonority"), (64, 12, "sonorities_64"), (150, 4, "voicings_150")]
RUNS = 41


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


@pytest.mark.parametrize(("count", "notes", "figure"), CASES)
def test_all_measures(count: int, notes: int, figure: str, ledger: Ledger) -> None:
    chance = np.random.default_rng(7)
    voicings = np.sort(
        [chance.choice(np.arange(31, 90), notes, replace=False) for _ in range(count)], axis=1
    )
    levels = plain_amplitudes(16)
    ours = 1000 * timed(lambda: measure_voicings(voicings, levels), runs=RUNS)
    loop = 1000 * timed(lambda: loop_over_pairs(voicings, levels), runs=3)
    ledger.enter(figure, ours, ratio=ours / loop)
    print(
        f"\n{count} sonorities of {notes} notes, 16 partials each: all measures {ours:.2f} ms;"
        f" numpy loop over note pairs {loop:.1f} ms, {loop / ours:.0f} times as long"
    )


def test_step_of_the_spacing_view(ledger: Ledger) -> None:
    """The view taken from one voicing of desk 1 to the next, all but the browser's part."""
    problem = prepare("D: I | V6 | vi | IV6 | I64 | ii65 | V7 | I", "SATB choir")
    panel = SpacingPanel(ensembles=["SATB choir", "horn quartet"], pin_chord=lambda *_: None)
    voiced = problem.k_best(RUNS + 1)  # each once, as nothing a drag shows was shown before
    scenes = iter([Scene(problem, one, 4, None, 60 / 88) for one in voiced])
    step = 1000 * timed(lambda: panel.show(next(scenes)), runs=RUNS)
    ledger.enter("spacing_step", step)
    print(f"\na step of the spacing view: {step:.1f} ms")
