"""harmony.harmonise on the demo's themes: shape of the answer, laws, the composer's wishes."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise, product

import numpy as np
import pytest

import harmony
from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.chain import find_best
from harmony.harmonising.compare import (
    differences,
    join_bars,
    keep_bars,
    measure,
    root_difference,
)
from harmony.harmonising.counter import write_counter_melody
from harmony.harmonising.idiom import IDIOMS, load_idiom
from harmony.harmonising.vocabulary import build_vocabulary, scale_of
from harmony.pitch import Key, Line, MeterMap, Note, Theme
from harmony.resources import find_corpora
from tests.figures_told import check_figure

THEMES = ("shuttle", "pattern_drawer", "lamps_out")
OWN = "own: Dm7 G C F Am Em Bb E A B C#m F#m"
NAMES = [OWN if name == "own" else name for name in IDIOMS]


@pytest.fixture(scope="module")
def themes():
    return {n: harmony.open_theme(find_corpora("loom_hall", f"{n}.abc")) for n in THEMES}


@pytest.mark.parametrize("idiom", NAMES)
@pytest.mark.parametrize("name", THEMES)
def test_every_idiom_gives_five_unlike_alternatives(themes, name, idiom):
    theme = themes[name]
    found = harmony.harmonise(theme, idioms=(idiom,))
    data = found.to_json()
    assert len(data["alternatives"]) == 5
    for one in data["alternatives"]:
        assert {"name", "idea", "idiom", "cost", "terms", "chords"} <= set(one)
        assert one["cost"] == pytest.approx(sum(one["terms"].values()))
        assert one["cost"] == pytest.approx(sum(sum(c["terms"].values()) for c in one["chords"]))
        assert all(value >= -1e-9 for value in one["terms"].values())
        chords = one["chords"]
        assert chords[0]["offset"] == 0
        for a, b in pairwise(chords):
            assert a["offset"] + a["duration"] == b["offset"]
        assert chords[-1]["offset"] + chords[-1]["duration"] == found.melody.end
        assert all(0 <= chord["root"] < 12 for chord in chords)
    sequences = {tuple((c["root"], c["quality"], c["bass"], c["offset"]) for c in one["chords"])
                 for one in data["alternatives"]}  # fmt: skip
    assert len(sequences) == 5
    apart = [root_difference(a, b) for a, b in combinations(found.alternatives, 2)]
    assert min(apart) >= 0.15
    assert sum(apart) / len(apart) >= 0.34


def test_modal_harmony_keeps_the_mode(themes):
    """Shuttle is Dorian: B and C natural, no leading tone, the final at the end."""
    found = harmony.harmonise(themes["shuttle"], idioms=("modal",))
    scale = {name.pitch_class for name in Key.from_text("D dorian").scale}
    for one in found.alternatives:
        for slot in one.progression:
            assert slot.chord.pitch_classes <= scale
            assert slot.chord.quality.name in ("maj", "min", "dim")
        assert one.progression.slots[-1].chord.root.letter == "D"
        assert one.progression.slots[-1].chord.inversion == 0


@pytest.mark.parametrize("mode", ["dorian", "phrygian", "lydian", "mixolydian", "locrian",
                                  "phrygian dominant", "major", "minor"])  # fmt: skip
def test_modal_vocabulary_is_the_mode_s_own(mode):
    vocabulary = build_vocabulary(load_idiom("modal"), Key.from_text(f"C {mode}"))
    outside = [pc for pc in range(12) if pc not in scale_of(vocabulary.key)]
    assert not vocabulary.members[:, outside].any()


def test_third_relations_have_triads_only_and_extended_has_none(themes):
    theme = themes["pattern_drawer"]
    for one in harmony.harmonise(theme, idioms=("third-relations",)).alternatives:
        assert {slot.chord.quality.name for slot in one.progression} <= {"maj", "min"}
    for one in harmony.harmonise(theme, idioms=("extended",)).alternatives:
        assert all(len(slot.chord.pitch_classes) >= 4 for slot in one.progression)


def test_quartal_stacks_keep_fourths_under_the_tune(themes):
    for one in harmony.harmonise(themes["shuttle"], idioms=("quartal",)).alternatives:
        for slot in one.progression:
            names = list(slot.chord.names)
            gaps = [(b.pitch_class - a.pitch_class) % 12
                    for a, b in pairwise(names)]  # fmt: skip
            assert slot.chord.stacked
            assert set(gaps) <= {5, 6}
            assert gaps.count(6) <= 1
            assert all((b.step - a.step) % 7 == 3 for a, b in pairwise(names))


def test_planing_hangs_every_chord_from_the_tune(themes):
    found = harmony.harmonise(themes["lamps_out"], idioms=("parallel",))
    exact = next(one for one in found.alternatives if one.name == "planed minor")
    assert {slot.chord.quality.name for slot in exact.progression} == {"min"}


def test_ostinato_repeats_its_figure(themes):
    found = harmony.harmonise(themes["shuttle"], idioms=("ostinato",))
    often = [check_figure(found, one) for one in found.alternatives]
    assert min(often) >= 2
    assert max(often) >= 3
    ways = {one.name.partition(", ")[2] for one in found.alternatives}
    assert "inside" in ways
    assert any(way.startswith("moved") for way in ways)
    inside = next(n for n, one in enumerate(found.alternatives, 1) if "inside" in one.name)
    figure = found.to_score(inside).parts[-1]
    assert figure.name == "Figure inside"
    assert len(figure.staves[0].events) == len(found.alternative(inside).held)


def test_a_figure_begins_with_the_first_downbeat():
    """An upbeat takes the figure's last note, as if a statement had just ended."""
    key = Key.from_text("d")
    lengths = [1, *[3, 1] * 6, 4]
    steps = [5, *[1, 2, 3, 1, 2, 1] * 2, 1]
    notes, at = [], Fraction(0)
    for length, step in zip(lengths, steps, strict=True):
        notes.append(Note(at, Fraction(length), key.degree(step).in_octave(4)))
        at += length
    meters = MeterMap.steady("4/4", pickup=Fraction(1))
    found = harmony.harmonise(Theme(Line(tuple(notes)), meters, key), idioms=("ostinato",))
    figures = load_idiom("ostinato").table["figures"]
    for one in found.alternatives:
        check_figure(found, one)
        if one.name in figures:
            upbeat, downbeat = one.progression.slots[0].bass, one.progression.slots[1].bass
            figure = figures[one.name]
            assert (upbeat.pitch_class - key.tonic.pitch_class) % 12 == figure[-1]
            if figure[0] != figure[-1]:
                assert (downbeat.pitch_class - key.tonic.pitch_class) % 12 == figure[0]


def test_own_uses_only_the_list(themes):
    found = harmony.harmonise(themes["shuttle"], idioms=("own: Dm C G Am F",))
    for one in found.alternatives:
        assert {slot.figure for slot in one.progression} <= {"Dm", "C", "G", "Am", "F"}


def test_several_idioms_share_the_alternatives(themes):
    found = harmony.harmonise(themes["shuttle"], idioms=("modal", "pedal"), count=4)
    assert [one.idiom for one in found.alternatives] == ["modal", "modal", "pedal", "pedal"]


def test_fixed_and_forbidden_chords_are_obeyed(themes):
    theme = themes["pattern_drawer"]
    found = harmony.harmonise(theme, fixed=("5.1=V6/V", "16.1=Ebmaj7", "2.1!=IV"), count=3)
    for one in found.alternatives:
        at = {slot.onset: slot for slot in one.progression}
        assert str(at[Fraction(12)].chord.bass) == "A#"
        assert at[Fraction(45)].chord.quality.name == "maj7"
        assert at[Fraction(3)].figure != "IV" if Fraction(3) in at else True


def test_every_chord_forbidden_at_a_place_stays_away(themes):
    theme = themes["pattern_drawer"]

    def figures_there(*forbidden: str) -> set[str]:
        found = harmony.harmonise(theme, fixed=[f"5.1!={figure}" for figure in forbidden])
        return {chord_at_bar(one, 5) for one in found.alternatives}

    first = sorted(figures_there())[0]
    second = sorted(figures_there(first))[0]
    assert not {first, second} & figures_there(first, second)


def chord_at_bar(one, bar: int) -> str:
    return next(slot.figure for slot in one.progression if slot.bar == bar)


def test_given_key_and_phrase_ends_are_kept(themes):
    found = harmony.harmonise(themes["lamps_out"], key="F", phrase_ends=[16, 36], count=1)
    assert str(found.melody.key) == "F"
    assert [phrase.end for phrase in found.melody.phrases][-1] == 36


def test_analysis_of_the_demo(themes):
    melody = harmony.harmonise(themes["pattern_drawer"], count=1).melody
    assert str(melody.key) == "E"
    # Bars 5-7 are bars 1-3 a step up; bars 9-12 bars 1-4 a minor third up.
    assert any(3 in one.semitones or 1 in one.steps for one in melody.sequences)
    shuttle = harmony.harmonise(themes["shuttle"], count=1).melody
    assert str(shuttle.key) == "D dorian"


def test_joined_bars_come_from_both_and_the_joint_is_new(themes):
    found = harmony.harmonise(themes["pattern_drawer"])
    joined = join_bars(found, 1, 3, at_bar=9)
    start, end = Fraction(21), Fraction(27)
    for stretch in differences(joined, found.alternative(1)):
        assert stretch.start >= start
    for stretch in differences(joined, found.alternative(3)):
        assert stretch.end <= end or stretch.start < 24


def test_locked_bars_stay(themes):
    theme = themes["pattern_drawer"]
    first = harmony.harmonise(theme, count=1).alternative(1)
    again = harmony.harmonise(theme, fixed=keep_bars(first, range(1, 9)), count=3)
    for one in again.alternatives:
        assert all(stretch.start >= 24 for stretch in differences(first, one))


def test_measures_are_of_the_alternative(themes):
    one = harmony.harmonise(themes["shuttle"], count=1).alternative(1)
    values = {m.name: m.value for m in measure(one)}
    assert values["cost"] == pytest.approx(one.cost)
    assert 0 <= values["bass moves by step"] <= 1


def test_counter_melody_lies_under_the_tune(themes):
    one = harmony.harmonise(themes["pattern_drawer"], count=1).alternative(1)
    line = write_counter_melody(one).line
    tune = themes["pattern_drawer"].line.sounding
    for note in line:
        above = next(n for n in tune if n.onset <= note.onset < n.end)
        assert note.pitch.midi < above.pitch.midi


def test_chain_equals_trying_every_way():
    rng = np.random.default_rng(7)
    for _ in range(20):
        nodes = rng.integers(0, 20, (4, 5)).astype(float)
        steps = [rng.integers(0, 20, (5, 5)).astype(float) for _ in range(3)]
        least = min(
            sum(nodes[t, way[t]] for t in range(4))
            + sum(steps[t][way[t], way[t + 1]] for t in range(3))
            for way in product(range(5), repeat=4)
        )
        path, value = find_best(nodes, steps)
        assert value == least
        assert least == sum(nodes[t, path[t]] for t in range(4)) + sum(
            steps[t][path[t], path[t + 1]] for t in range(3)
        )


@pytest.mark.parametrize(
    ("wishes", "words"),
    [
        ({"fixed": ("5.1=V6", "5.1=IV")}, "two chords at one place"),
        ({"fixed": ("5.1=V6", "5.1!=V6")}, "contradict"),
        ({"fixed": ("50.1=V",)}, "no bar 50"),
        ({"fixed": ("5.1",)}, "BAR.BEAT=CHORD"),
        ({"idioms": ("nope",)}, "known are common-practice"),
        ({"idioms": ("own",)}, "needs its chords"),
        ({"count": 0}, "1 to 12"),
        ({"count": 13}, "1 to 12"),
        ({"count": 2.5}, "a whole number is accepted"),
        ({"weights": {"bass_line": -1.0}}, "not a number from 0 up"),
        ({"weights": {"bass_line": "much"}}, "a number is accepted"),
        ({"pace": "brisk"}, "usual, slow, beats"),
        ({"spans": ()}, "harmonic rhythm"),
    ],
)
def test_what_cannot_be_used_is_told_in_one_sentence(themes, wishes, words):
    with pytest.raises(HarmonyError) as refused:
        harmony.harmonise(themes["pattern_drawer"], **wishes)
    assert words in refused.value.message
    assert "\n" not in refused.value.message


def test_no_chord_of_the_list_fits(themes):
    with pytest.raises(NoSolutionError) as refused:
        harmony.harmonise(themes["pattern_drawer"], idioms=("own: Bb Eb",))
    assert refused.value.where == "bar 1 beat 1"
    assert "nearest" in refused.value.message


def test_scores_and_frames(themes, tmp_path):
    found = harmony.harmonise(themes["pattern_drawer"], count=2)
    saved = found.to_musicxml(tmp_path / "two.musicxml", alternative=2)
    again = harmony.open_theme(saved)
    assert [n.pitch for n in again.line.sounding] == [
        n.pitch for n in themes["pattern_drawer"].line.sounding
    ]
    frame = found.to_frame(1)
    assert len(frame) == len(found.alternative(1).progression)
