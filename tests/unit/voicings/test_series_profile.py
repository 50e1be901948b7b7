"""The cost against the harmonic series: of each voicing alone, and only of one chord."""

from __future__ import annotations

import numpy as np
import pytest

from harmony.acoustics.profile import series_profile
from harmony.chords.api import parse
from harmony.voicings.api import prepare
from harmony.voicings.costs import standard_costs
from harmony.voicings.costs.series import FULL_SCALE, SeriesProfile


def term() -> SeriesProfile:
    return next(cost for cost in standard_costs() if cost.name == "series_profile")


@pytest.mark.parametrize("text", ["C: I", "C: V7", "C: ii", "C: viio"])
def test_taking_voicings_away_changes_none_of_the_others(text: str) -> None:
    voicings = prepare(parse(text), "SATB choir").layout.voicings[0]
    whole = term().single(voicings)
    for kept in (np.arange(0, len(voicings), 2), np.array([len(voicings) - 1])):
        assert (term().single(voicings.chosen(kept)) == whole[kept]).all()


def test_it_is_the_acoustics_own_measure() -> None:
    voicings = prepare(parse("C: I"), "string quartet").layout.voicings[0]
    profile = series_profile(voicings.pitches, root=0, pitch_classes={0, 4, 7})
    assert (term().single(voicings) == np.rint(FULL_SCALE * profile)).all()
    assert term().single(voicings).max() <= FULL_SCALE


def test_weighing_it_spreads_a_chord_like_the_series() -> None:
    problem = prepare(parse("C: I"), "string quartet")
    usual, spread = problem.best(), problem.best({"series_profile": 50})

    def distance(realisation: object) -> float:
        midi = [pitch.midi for pitch in realisation.pitches[0]]  # type: ignore[attr-defined]
        return float(series_profile(midi, root=0, pitch_classes={0, 4, 7})[0])

    assert distance(spread) < distance(usual)
