"""Steering by ear: what is chosen keeps the wish and is the best of all."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest

from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.doubling import add_doubling
from harmony.acoustics.profile import series_profile
from harmony.acoustics.spectrum import plain_amplitudes, spectrum
from harmony.acoustics.steering import (
    Chosen,
    Wish,
    choose_least_rough,
    choose_most_rough,
    sit_on_fundamental,
    spread_like_series,
)
from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch, PitchName

MAJOR = frozenset({0, 4, 7})


def _every_voicing(wish: Wish) -> np.ndarray:
    """Every voicing that keeps a wish, by plain enumeration."""
    ranges = [range(low, high + 1) for low, high in wish.registers]
    kept = [
        row
        for row in product(*ranges)
        if all(a < b for a, b in pairwise(row))
        and all(b - a <= wish.widest for a, b in pairwise(row[1:]))
        and {note % 12 for note in row} == wish.classes
        and wish.bass in (None, row[0])
        and wish.top in (None, row[-1])
    ]
    return np.array(kept)


SMALL = Wish(MAJOR, ((43, 55), (50, 62), (55, 67), (60, 72)), None, None, 9)


def test_all_voicings_are_tried() -> None:
    everything = _every_voicing(SMALL)
    roughness = measure_roughness(everything, plain_amplitudes(11)).hutchinson_knopoff
    least, most = choose_least_rough(SMALL), choose_most_rough(SMALL)
    for found, value in ((least, roughness.min()), (most, roughness.max())):
        assert found.is_proven
        assert found.tried == len(everything)
        assert found.value == pytest.approx(value, rel=1e-6)
    profile = series_profile(everything, root=0, pitch_classes=MAJOR)
    spread = spread_like_series(SMALL, 0)
    assert spread.value == pytest.approx(profile.min())
    assert spread.midi in {tuple(row) for row in everything.tolist()}


def _keeps(found: Chosen, wish: Wish) -> bool:
    inside = all(
        low <= note <= high for note, (low, high) in zip(found.midi, wish.registers, strict=True)
    )
    rising = list(found.midi) == sorted(set(found.midi))
    return inside and rising and {note % 12 for note in found.midi} == wish.classes


def test_a_chord_spread_from_its_root_is_the_series() -> None:
    wish = Wish(MAJOR, ((36, 96),) * 6, 36)
    assert spread_like_series(wish, 0).midi == (36, 48, 55, 60, 64, 67)


def test_the_answer_is_spelled_like_the_chord() -> None:
    names = [PitchName.from_text(name) for name in ("Ab", "C", "Eb", "F#")]
    wish = Wish(frozenset(name.pitch_class for name in names), ((44, 90),) * 4, 44)
    found = spread_like_series(wish)
    assert [str(pitch.name) for pitch in found.spell(names)] == [
        {8: "Ab", 0: "C", 3: "Eb", 6: "F#"}[note % 12] for note in found.midi
    ]
    assert [pitch.midi for pitch in found.spell(())] == list(found.midi)


def test_outer_notes_are_kept() -> None:
    wish = Wish.within(MAJOR, 5, 48, 84)
    for found in (choose_least_rough(wish), choose_most_rough(wish), spread_like_series(wish, 0)):
        assert (found.midi[0], found.midi[-1]) == (48, 84)
        assert _keeps(found, wish)
    assert choose_least_rough(wish).value < choose_most_rough(wish).value


def test_many_voices_are_answered_without_a_claim() -> None:
    wish = Wish.within(frozenset({0, 4, 7, 10}), 12, 36, 96)
    found = choose_least_rough(wish)
    assert not found.is_proven
    assert _keeps(found, wish)


def test_a_chosen_fundamental() -> None:
    wish = Wish(frozenset({0, 4, 7, 10}), ((30, 90),) * 5)
    found = sit_on_fundamental(wish, 36)
    assert _keeps(found, wish)
    assert found.midi[0] >= 36
    with pytest.raises(HarmonyError, match="lies above the chord"):
        sit_on_fundamental(Wish(MAJOR, ((36, 48),) * 3), 60)


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: Wish(frozenset(), ((30, 40),)), "a chord and its players are needed"),
        (lambda: Wish(MAJOR, ((30, 40),)), "1 voices cannot hold a chord of 3 names"),
        (lambda: Wish.within(MAJOR, 4, 49, 84), "is not in the chord"),
        (lambda: Wish.within(MAJOR, 4, 84, 48), "must lie below"),
        (lambda: Wish.within(MAJOR, 4, 0, 84), "beyond hearing"),
        (lambda: spread_like_series(Wish.within(MAJOR, 4, 60, 64)), "No voicing of this chord"),
    ],
)
def test_impossible_wishes_get_one_sentence(build: object, words: str) -> None:
    with pytest.raises(HarmonyError, match=f"(?i){words}"):
        build()


def test_what_a_doubling_adds() -> None:
    chord = [Pitch.from_text(name) for name in ("C3", "G3", "E4")]
    octave = add_doubling(chord, chord[1], Interval.from_text("P8"))
    assert str(octave.added) == "G4"
    assert octave.strengthened == (2, 4, 6, 8, 10, 12, 14, 16)
    assert not octave.moves_fundamental
    twelfth = add_doubling(chord, chord[0], Interval.from_text("P12"))
    assert twelfth.strengthened == (3, 6, 9, 12, 15)
    below = add_doubling(chord, chord[0], Interval.from_text("-P8"))
    assert below.strengthened == tuple(range(1, 17))
    assert below.roughness_change != 0.0
    scored = add_doubling(
        chord, chord[1], Interval.from_text("P8"),
        spectra=[spectrum("horn")] * 3, added_spectrum=spectrum("trumpet", "ff"),
    )  # fmt: skip
    assert scored.roughness_change != octave.roughness_change


def test_doublings_that_are_none() -> None:
    chord = [Pitch.from_text(name) for name in ("C3", "G3", "C4")]
    with pytest.raises(HarmonyError, match="sounds already"):
        add_doubling(chord, chord[0], Interval.from_text("P8"))
    with pytest.raises(HarmonyError, match="not in the sonority"):
        add_doubling(chord, Pitch.from_text("D3"), Interval.from_text("P8"))
    with pytest.raises(HarmonyError, match="or for none"):
        add_doubling(chord, chord[1], Interval.from_text("P8"), added_spectrum=spectrum("horn"))
