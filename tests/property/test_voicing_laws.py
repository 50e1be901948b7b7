"""Laws every voicing keeps, on random progressions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from harmony.chords.api import parse
from harmony.errors import NoSolutionError
from harmony.instruments.catalogue import ensemble
from harmony.search import enumerate_paths
from harmony.voicings.api import prepare
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.presets import preset_names
from harmony.voicings.rules import KeepsShape, NoConsecutivePerfects, RuleSet
from tests.property.progressions import NUMERALS, numerals, progressions, small_choir, weights

CHOIR = small_choir()
# The measures that no change of register touches.
# The learnt chorale costs know at what height Bach's voices lie; published ones do not.
PUBLISHED = "strings"
FREE_OF_HEIGHT = dict.fromkeys(("register", "low_intervals"), 0)


def best_or_none(problem, *args, **kwargs):
    try:
        return problem.best(*args, **kwargs)
    except NoSolutionError:
        return None


@given(progressions(most=4), weights(), st.sampled_from(preset_names()))
@settings(max_examples=35)
def test_best_equals_enumeration_over_all_voicings(progression, some_weights, preset):
    problem = prepare(progression, CHOIR, preset=preset)
    best = best_or_none(problem, some_weights)
    assume(best is not None)
    layers = problem.layers
    size = int(np.prod([float(n) for n in layers.sizes]))
    assume(size < 60_000)
    rates = [some_weights[cost.name] / cost.grain for cost in problem.costs]
    cheapest = min(enumerate_paths(layers, rates, rates), key=lambda path: path.value)
    assert best.cost == pytest.approx(cheapest.value, abs=1e-9)


@given(progressions(), weights(), st.floats(0, 9))
@settings(max_examples=35)
def test_the_bill_adds_up(progression, some_weights, fine_weight):
    best = best_or_none(prepare(progression, CHOIR), some_weights | {"motion": fine_weight})
    assume(best is not None)
    assert sum(best.term_costs.values()) == pytest.approx(best.cost, abs=1e-9)
    assert best.slot_costs.sum() == pytest.approx(best.cost, abs=1e-9)
    billed = sum(charge.cost for charges in best.charges for charge in charges)
    assert billed == pytest.approx(best.cost, abs=1e-9)
    shared = sum(sum(voice.values()) for slot in best.terms for voice in slot)
    assert shared == pytest.approx(best.cost, abs=1e-9)
    sentences = {cost.sentence for cost in best.costs if cost.name != "series_profile"}
    told = {charge.words for charges in best.charges for charge in charges}
    assert not told & {words[:1].upper() + words[1:] for words in sentences}


@given(numerals(), st.sampled_from([("C", "D", 2), ("F", "G", 2), ("D", "C", -2)]), weights())
@settings(max_examples=25)
def test_transposing_chords_and_registers_keeps_the_cost(chords, keys, some_weights):
    here, there, semitones = keys
    texts = [f"{key}: " + " | ".join(chords) for key in (here, there)]
    moved = replace(
        CHOIR,
        voices=tuple(
            replace(v, low=shifted(v.low, semitones), high=shifted(v.high, semitones))
            for v in CHOIR.voices
        ),
    )
    changed = some_weights | FREE_OF_HEIGHT
    first = best_or_none(prepare(parse(texts[0]), CHOIR, preset=PUBLISHED), changed)
    second = best_or_none(prepare(parse(texts[1]), moved, preset=PUBLISHED), changed)
    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert first.cost == pytest.approx(second.cost, abs=1e-9)


def shifted(pitch, semitones):
    octave = 12 * (1 if semitones == 12 else 0)
    if octave:
        return replace(pitch, octave=pitch.octave + 1)
    from harmony.pitch.interval import Interval, transpose

    return transpose(pitch, Interval(1 if semitones > 0 else -1, semitones))


@given(numerals(), weights())
@settings(max_examples=25)
def test_an_octave_higher_costs_the_same_but_for_height(chords, some_weights):
    text = "Eb: " + " | ".join(chords)
    higher = replace(
        CHOIR,
        voices=tuple(
            replace(v, low=shifted(v.low, 12), high=shifted(v.high, 12)) for v in CHOIR.voices
        ),
    )
    changed = some_weights | FREE_OF_HEIGHT
    first = best_or_none(prepare(parse(text), CHOIR, preset=PUBLISHED), changed)
    second = best_or_none(prepare(parse(text), higher, preset=PUBLISHED), changed)
    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert first.cost == pytest.approx(second.cost, abs=1e-9)
        midi = [[[p.midi for p in chord] for chord in one.pitches] for one in (first, second)]
        assert (np.array(midi[1]) - np.array(midi[0]) == 12).all()


@given(progressions(), weights(), st.integers(2, 7))
@settings(max_examples=25)
def test_scaling_the_weights_scales_the_cost_and_keeps_the_notes(progression, some_weights, factor):
    problem = prepare(progression, CHOIR)
    first = best_or_none(problem, some_weights)
    assume(first is not None)
    second = problem.best({term: w * factor for term, w in some_weights.items()})
    assert second.cost == pytest.approx(first.cost * factor, abs=1e-9)
    assert second.pitches == first.pitches


@given(progressions(), weights(), st.sampled_from(["perfects", "shape", "crossing", "pin"]))
@settings(max_examples=35)
def test_adding_a_rule_never_lowers_the_cost(progression, some_weights, which):
    loose = RuleSet(crossing=4)
    strict = {
        "perfects": replace(loose, steps=(NoConsecutivePerfects(),)),
        "shape": replace(loose, steps=(KeepsShape(tolerance=5),)),
        "crossing": replace(loose, crossing=0),
        "pin": loose,
    }[which]
    free = best_or_none(prepare(progression, CHOIR, loose), some_weights)
    assume(free is not None)
    pins = (f"1.1 Alto={free.pitches[-1][1]}",) if which == "pin" else ()
    bound = best_or_none(prepare(progression, CHOIR, strict), some_weights, pins)
    assert bound is None or bound.cost >= free.cost - 1e-9


@given(numerals(), weights())
@settings(max_examples=20)
def test_renaming_the_parts_changes_nothing(chords, some_weights):
    text = "A: " + " | ".join(chords)
    renamed = replace(
        CHOIR,
        voices=tuple(replace(v, name=f"Line {i}") for i, v in enumerate(CHOIR.voices)),
    )
    first = best_or_none(prepare(parse(text), CHOIR), some_weights)
    second = best_or_none(prepare(parse(text), renamed), some_weights)
    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert (first.cost, first.pitches) == (second.cost, second.pitches)


@given(progressions(most=4), weights())
@settings(max_examples=25)
def test_a_price_is_what_the_pin_then_costs(progression, some_weights):
    problem = prepare(progression, CHOIR)
    best = best_or_none(problem, some_weights)
    assume(best is not None)
    prices = problem.prices(some_weights)
    for slot, voices in enumerate(prices):
        place = progression.slots[slot]
        for voice, by_pitch in enumerate(voices):
            assert min(by_pitch.values()) == pytest.approx(best.cost, abs=1e-9)
            pitch = max(by_pitch, key=lambda p: by_pitch[p])
            pin = f"{place.bar}.{float(place.beat):g} {CHOIR.voices[voice].name}={pitch}"
            pinned = problem.best(some_weights, [pin])
            assert pinned.cost == pytest.approx(by_pitch[pitch], abs=1e-9)
            assert pinned.pitches[slot][voice] == pitch


@given(st.lists(st.sampled_from(NUMERALS), min_size=3, max_size=6))
@settings(max_examples=20)
def test_unlike_alternatives_differ_in_as_many_chords_as_asked(chords):
    problem = prepare(parse("D: " + " | ".join(chords)), ensemble("SATB choir"))
    assume(best_or_none(problem) is not None)
    found = problem.unlike(4, 2)
    assert [one.cost for one in found] == sorted(one.cost for one in found)
    for i, one in enumerate(found):
        for other in found[:i]:
            assert sum(a != b for a, b in zip(one.pitches, other.pitches, strict=True)) >= 2


@given(progressions())
@settings(max_examples=25)
def test_every_pitch_is_a_name_of_its_chord(progression):
    best = best_or_none(prepare(progression, CHOIR))
    assume(best is not None)
    for slot, pitches in zip(progression.slots, best.pitches, strict=True):
        assert {pitch.name for pitch in pitches} <= set(slot.chord.names)
        assert pitches[-1].name == slot.chord.bass


def test_all_terms_are_named_in_every_preset():
    for name in preset_names():
        problem = prepare("C: I V7 I", "SATB choir", preset=name)
        assert tuple(problem.best().term_costs) == TERM_NAMES
