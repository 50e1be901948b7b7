"""The fast measures equal the slow ones, and obey the laws that hold for all."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.fundamental import find_fundamentals
from harmony.acoustics.harmonicity import (
    barlow_chord_harmonicity,
    chord_gradus,
    mean_tenney_distance,
)
from harmony.acoustics.measure import measure_voicings
from harmony.acoustics.periodicity import semitones_to_ratio
from harmony.acoustics.ratio import (
    barlow_harmonicity,
    euler_gradus,
    prime_factors,
    ratios_to_numbers,
    tenney_distance,
)
from harmony.acoustics.root import PARNCUTT_2006, root_ambiguity, root_weights, supported_roots
from harmony.acoustics.roughness import hutchinson_knopoff, plomp_levelt, sethares, vassilakis
from harmony.acoustics.spectrum import plain_amplitudes, spectrum, spectrum_families
from harmony.errors import HarmonyError
from harmony.units import midi_to_hz

chords = st.lists(st.integers(24, 100), min_size=1, max_size=9)


def _slowly(midi: list[int], levels: np.ndarray) -> list[float]:
    frequencies = np.outer([midi_to_hz(note) for note in midi], np.arange(1, 17))
    amplitudes = np.broadcast_to(levels, frequencies.shape)
    models = (plomp_levelt, hutchinson_knopoff, sethares, vassilakis)
    return [model(frequencies, amplitudes) for model in models]


# The fast way leaves out pairs whose curve is below 8e-7: together at most 1e-5 here.
@example([64, 64, 64], "clarinet")
@given(chords, st.sampled_from(spectrum_families()))
def test_fast_roughness_equals_the_reference(midi: list[int], family: str) -> None:
    levels = spectrum(family, "f").amplitudes([midi_to_hz(note) for note in midi])
    fast = measure_roughness(midi, levels)
    found = [
        float(model[0])
        for model in (fast.plomp_levelt, fast.hutchinson_knopoff, fast.sethares, fast.vassilakis)
    ]
    assert found == pytest.approx(_slowly(midi, levels), rel=1e-5, abs=1e-5)


def test_many_voicings_at_once_equal_one_by_one() -> None:
    chance = np.random.default_rng(3)
    voicings = chance.integers(30, 90, (90, 5))
    voicings[5] = 60  # all in unison
    together = measure_voicings(voicings)
    assert len(together) == 90
    for place in range(0, 90, 7):
        alone = measure_voicings(voicings[place])
        assert together.roughness.sethares[place] == pytest.approx(alone.roughness.sethares[0])
        assert together.roughness.vassilakis[place] == pytest.approx(
            alone.roughness.vassilakis[0], rel=1e-5, abs=1e-6
        )
        assert together.fundamental[place] == alone.fundamental[0]
        assert together.gradus[place] == alone.gradus[0]
        assert together.log_periodicity[place] == alone.log_periodicity[0]


@given(st.lists(st.integers(30, 90), min_size=2, max_size=6, unique=True))
def test_numbers_equal_their_definitions_on_ratios(midi: list[int]) -> None:
    midi = sorted(midi)
    ratios = [semitones_to_ratio(note - midi[0]) for note in midi]
    assert chord_gradus(midi)[0] == euler_gradus(*ratios_to_numbers(ratios))
    pairs = [semitones_to_ratio(b - a) for i, a in enumerate(midi) for b in midi[i + 1 :]]
    tenney = sum(tenney_distance(pair) for pair in pairs) / len(pairs)
    assert mean_tenney_distance(midi)[0] == pytest.approx(tenney)
    barlow = len(pairs) / sum(1.0 / barlow_harmonicity(pair) for pair in pairs)
    assert barlow_chord_harmonicity(midi)[0] == pytest.approx(barlow)


@given(st.lists(st.integers(24, 84), min_size=1, max_size=7), st.integers(1, 12))
def test_transposing_leaves_what_knows_only_intervals(midi: list[int], up: int) -> None:
    low, high = measure_voicings(midi), measure_voicings([note + up for note in midi])
    assert low.log_periodicity == pytest.approx(high.log_periodicity)
    assert low.gradus == high.gradus
    assert low.tenney == pytest.approx(high.tenney)
    assert low.gap_profile == pytest.approx(high.gap_profile)
    assert low.parncutt_ambiguity == pytest.approx(high.parncutt_ambiguity)


@given(st.lists(st.integers(24, 90), min_size=2, max_size=6, unique=True))
def test_order_of_notes_does_not_matter_and_input_is_untouched(midi: list[int]) -> None:
    given_notes = np.array(midi)
    before = given_notes.copy()
    first = measure_voicings(given_notes)
    second = measure_voicings(given_notes[::-1])
    assert (given_notes == before).all()
    assert first.roughness.sethares == pytest.approx(second.roughness.sethares, rel=1e-5)
    assert first.fundamental == second.fundamental
    best = find_fundamentals(midi)[0]
    assert (first.fundamental[0], first.support[0]) == (best.midi, pytest.approx(best.support))


def test_lower_is_rougher_for_the_same_interval() -> None:
    thirds = measure_roughness([[36, 40], [48, 52], [60, 64], [72, 76]], plain_amplitudes())
    assert (np.diff(thirds.hutchinson_knopoff) < 0).all()


def test_roots_of_many_voicings_equal_one_by_one() -> None:
    rows = [[60, 64, 67], [62, 65, 69], [60, 60, 67]]
    roots, ambiguity = supported_roots(rows)
    for row, root, unclear in zip(rows, roots, ambiguity, strict=True):
        weights = root_weights(row, PARNCUTT_2006)
        assert weights[root] == weights.max()
        assert unclear == pytest.approx(root_ambiguity(weights))


def test_a_lone_note_and_no_voicing() -> None:
    alone = measure_voicings([60])
    assert alone.tenney[0] == 0.0
    assert alone.barlow[0] == inf
    assert alone.gradus[0] == 1
    assert len(measure_roughness(np.zeros((0, 4)), plain_amplitudes()).sethares) == 0


def test_prime_factors_of_nothing_are_refused() -> None:
    with pytest.raises(HarmonyError, match="no prime factors"):
        prime_factors(0)
