"""Asked for again: the limits are kept, the answers are the cheapest, nothing else moves."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

import numpy as np
import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.again import closer, less_like, other_chords
from harmony.harmonising.compare import differences, root_difference
from harmony.harmonising.counted import find_limited
from harmony.harmonising.limits import Limit, units_of
from harmony.harmonising.spans import Span
from harmony.resources import find_corpora

OWN = "own: Dm7 G C F Am Em Bb E A B C#m F#m"
IDIOMS = ("common-practice", "modal", "pedal", "ostinato", "parallel", OWN)


@pytest.fixture(scope="module")
def found():
    theme = harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))
    return harmony.harmonise(theme)


def test_limited_search_equals_trying_every_way():
    rng = np.random.default_rng(11)
    for _ in range(25):
        nodes = rng.integers(0, 20, (4, 4)).astype(float)
        steps = [rng.integers(0, 20, (4, 4)).astype(float) for _ in range(3)]
        units = rng.integers(1, 4, 4).tolist()
        limits = [
            Limit(rng.random((4, 4)) < 0.5, 2, 5),
            Limit(rng.random((4, 4)) < 0.5, int(rng.integers(0, 6))),
        ]

        def keeps(way, limits=limits, units=units):
            sums = [sum(u for t, u in enumerate(units) if one.counts[t, way[t]]) for one in limits]
            return all(
                one.least <= total <= (one.most if one.most is not None else total)
                for one, total in zip(limits, sums, strict=True)
            )

        def cost(way, nodes=nodes, steps=steps):
            return sum(nodes[t, way[t]] for t in range(4)) + sum(
                steps[t][way[t], way[t + 1]] for t in range(3)
            )

        ways = [way for way in product(range(4), repeat=4) if keeps(way)]
        path, _, value = find_limited(nodes, steps, limits, units)
        assert value == (min(map(cost, ways)) if ways else np.inf)
        if ways:
            assert keeps(path)
            assert cost(path) == value


def test_units_measure_every_span():
    spans = [Span(Fraction(0), Fraction(3, 2)), Span(Fraction(3, 2), Fraction(1, 2))]
    assert units_of(spans) == ((3, 1), Fraction(1, 2))


@pytest.mark.parametrize("idiom", IDIOMS)
def test_closer_keeps_to_its_bands_and_less_like_to_its_half(idiom):
    theme = harmony.open_theme(find_corpora("loom_hall", "shuttle.abc"))
    first = harmony.harmonise(theme, idioms=(idiom,), count=3)
    one = first.alternative(2)
    near = closer(first, 2, count=3).alternatives
    shares = [root_difference(one, other) for other in near]
    assert shares == sorted(set(shares))
    assert 0 < shares[0] <= 0.2
    assert shares[-1] <= 0.44
    far = less_like(first, 2, count=2).alternatives
    assert all(root_difference(one, other) >= 0.5 for other in far)
    assert all("B" in other.idea for other in (*near, *far))


@pytest.mark.parametrize(
    ("idiom", "number"), [("common-practice", 3), ("romantic", 3), ("pedal", 2)]
)
def test_a_pedal_is_held_on_however_often_it_is_asked_again(idiom, number):
    theme = harmony.open_theme(find_corpora("loom_hall", "shuttle.abc"))
    first = harmony.harmonise(theme, idioms=(idiom,), count=number)
    held = first.alternative(number).held
    assert held
    near = closer(first, number, count=1)
    nearer = closer(near, 1, count=1)
    here = other_chords(first, number, bars=(3, 4), count=1)
    assert near.alternative(1).held == nearer.alternative(1).held == held
    assert near.alternative(1).idea.startswith(f"{first.alternative(number).idea}; other roots")
    assert here.alternative(1).held == held
    far = less_like(first, number, count=1).alternative(1)
    assert far.held == (held if idiom == "pedal" else ())


def test_other_chords_move_nothing_outside_their_bars(found):
    one = found.alternative(3)
    start, stop = Fraction(12), Fraction(18)
    answers = other_chords(found, 3, bars=(5, 6)).alternatives
    assert len(answers) == 3
    for other in answers:
        for stretch in differences(one, other):
            assert start <= stretch.start
            assert stretch.end <= stop
        assert root_difference(one, other) * 48 >= 3
    for a, b in combinations(answers, 2):
        assert root_difference(a, b) * 48 >= 1.5


def test_what_lies_on_the_edge_of_two_bands_is_given_once(tmp_path):
    # Ten bars of one note: each is a tenth of the tune, and two lie on an edge at .2.
    tune = tmp_path / "ten.abc"
    tune.write_text("X:1\nM:4/4\nL:1/1\nK:C\nG|A|G|c|B|c|d|c|B|c|]\n")
    first = harmony.harmonise(tune, idioms=("modal",), pace="slow", key="C", count=1)
    near = closer(first, 1, count=5).alternatives
    ways = [tuple(slot.figure for slot in one.progression) for one in near]
    assert len(ways) > 1
    assert len(set(ways)) == len(ways)
    assert near[0].idea.startswith("much as A; other roots under ")


def test_where_every_chord_is_fixed_none_can_be_another(found):
    first = found.alternatives[0].progression.slots
    fixed = [
        f"{slot.bar}.{float(slot.beat):g}={slot.key}: {slot.figure}"
        for slot in first
        if slot.bar == 5
    ]
    with pytest.raises(HarmonyError, match=r"^Every chord in bar 5 is fixed.*let go of one there"):
        other_chords(found, 1, bars=(5, 5), fixed=fixed)


def test_what_was_fixed_stays_fixed():
    theme = harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))
    first = harmony.harmonise(theme, fixed=("5.1=V6/V",), count=2)
    for other in closer(first, 1, count=2, fixed=("9.1!=I",)).alternatives:
        at = {slot.onset: slot for slot in other.progression}
        assert str(at[Fraction(12)].chord.bass) == "A#"


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda found: closer(found, 9), "no alternative 9"),
        (lambda found: less_like(found, 1, count=0), "1 to 5"),
        (lambda found: other_chords(found, 1, bars=(40, 41)), "no bars 40 to 41"),
    ],
)
def test_what_cannot_be_asked_is_told_in_one_sentence(found, ask, words):
    with pytest.raises(HarmonyError) as refused:
        ask(found)
    assert words in refused.value.message


def test_weights_are_the_composer_s(found):
    theme = found.theme
    strict = harmony.harmonise(theme, weights={"bass_line": 3.0}, count=1).alternative(1)
    assert strict.terms["bass_line"] != pytest.approx(found.alternative(1).terms["bass_line"])
    with pytest.raises(HarmonyError, match="no cost of a harmonisation"):
        harmony.harmonise(theme, weights={"nope": 1.0})
    with pytest.raises(HarmonyError, match="not a number from 0 up"):
        harmony.harmonise(theme, weights={"syntax": -1.0})
