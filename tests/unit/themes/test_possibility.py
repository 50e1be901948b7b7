from __future__ import annotations

import pytest

from harmony.reading.theme import open_theme
from harmony.resources import find_corpora
from harmony.themes.canon import Canon
from harmony.themes.portrait import describe_theme
from harmony.themes.possibility import find_possibilities
from tests.unit.themes.lines import shuttle, theme_from_text

LAMPS = "A4 A4 D5 C5 D5/3 A4 B4/2 G4 A4 F4/3 E4 D4/4 F4 F4 B4 A4 B4/2 C5 D5 E5/3 D5 A4/4"


@pytest.fixture(scope="module")
def found():
    return find_possibilities(shuttle())


def test_five_possibilities_of_different_kinds_best_first(found):
    assert len(found) == 5
    assert len({p.kind for p in found}) == 5
    assert [p.worth for p in found] == sorted((p.worth for p in found), reverse=True)


def test_shuttles_first_possibility_is_its_canon(found):
    assert found[0].sentence == "Answers itself at the fifth below, 1 bar later, without a fault."


def test_about_d_its_inversion_stays_in_the_mode(found):
    (turned,) = [p for p in found if p.kind == "inversion"]
    assert turned.sentence == "Turned over about D it stays in the mode, unaltered."


def test_each_possibility_can_be_written(found):
    for possibility in found:
        assert possibility.to_score().parts


def test_model_and_copy_and_parallel_halves_are_seen():
    told = [repeat.describe() for repeat in describe_theme(shuttle()).repeats]
    assert told == ["bar 3 is bar 1 a step lower, in the key", "bars 5-6 repeat bars 1-2"]


def test_lamps_outs_sixth_bar_is_its_opening_two_steps_lower_and_not_real():
    # a fact of the demo, checked there by script
    first = describe_theme(theme_from_text(LAMPS, key="d")).repeats[0]
    assert (first.bar, first.model_bar, first.steps, first.is_real) == (6, 1, -2, False)


def test_range_climax_and_intervals():
    portrait = describe_theme(shuttle())
    assert (str(portrait.lowest), str(portrait.highest), portrait.climax_bar) == ("G4", "E5", 2)
    assert dict(portrait.intervals)["M2"] == 19


@pytest.mark.parametrize("name", ["shuttle", "pattern_drawer", "lamps_out", "night_shift"])
@pytest.mark.parametrize("judge", ["tonal", "strict"])
def test_each_theme_of_the_demo_has_five(name, judge):
    found = find_possibilities(open_theme(find_corpora("loom_hall") / f"{name}.abc"), judge)
    assert len({possibility.kind for possibility in found}) == 5
    for possibility in found:
        if isinstance(possibility.result, Canon):
            bar = possibility.result.theme.meters.changes[0][1].bar_quarters
            assert possibility.result.holds_for >= 2 * bar
