"""Steering by ear: what is chosen is the best there is, can be pinned, and is told."""

from __future__ import annotations

import numpy as np
import pytest

from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.profile import series_profile
from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.instruments.catalogue import ensemble
from harmony.voicings.api import prepare
from harmony.workbench.spacing.facts import DEFERENCE, name_chord, tell_facts
from harmony.workbench.spacing.hearing import hear_chord
from harmony.workbench.spacing.sound import MOST_HZ, sounds_of
from harmony.workbench.spacing.steering import (
    Standpoint,
    roughen_between,
    sit_on,
    smooth_between,
    spread_from_here,
)
from harmony.workbench.spacing.weighing import tell_comparison, tell_doubling
from harmony.workbench.spacing.words import write_figure, write_numbers

TEXT = "D: I | V7 | I6 | ii65 | V | I"


def stand(number: int = 1, voice: int | None = None, players: str = "string quartet") -> Standpoint:
    problem = prepare(parse(TEXT), players)
    return Standpoint(problem, problem.best(), number, voice)


def pin(here: Standpoint, steered: object) -> tuple[str, ...]:
    slot = here.realisation.progression.slots[here.number]
    names = [voice.name for voice in here.realisation.ensemble.voices]
    pitches = steered.pitches  # type: ignore[attr-defined]
    return tuple(
        f"{slot.bar}.{float(slot.beat):g} {name}={pitch}"
        for name, pitch in zip(names, pitches, strict=True)
    )


@pytest.mark.parametrize("choose", [spread_from_here, smooth_between, roughen_between])
def test_what_is_chosen_can_be_pinned(choose: object) -> None:
    here = stand()
    steered = choose(here)  # type: ignore[operator]
    voiced = here.problem.best(pins=pin(here, steered))
    assert voiced.pitches[1] == steered.pitches
    assert "Undo" in steered.sentence


def test_smooth_and_rough_are_the_extremes_between_the_outer_notes() -> None:
    here = stand()
    smooth, rough = smooth_between(here), roughen_between(here)
    for steered in (smooth, rough):
        assert steered.pitches[0] == here.now[0]
        assert steered.pitches[-1] == here.now[-1]
    rows = here.rows
    now = [pitch.midi for pitch in here.rising]
    between = rows[(rows[:, 0] == now[0]) & (rows[:, -1] == now[-1])]
    between = between[(np.diff(between, axis=1) > 0).all(axis=1)]
    from harmony.workbench.spacing.steering import _levels

    levels = _levels(here)
    values = measure_roughness(between, levels).hutchinson_knopoff

    def value(steered: object) -> float:
        midi = [pitch.midi for pitch in reversed(steered.pitches)]  # type: ignore[attr-defined]
        return float(measure_roughness(midi, levels).hutchinson_knopoff[0])

    assert value(smooth) == pytest.approx(values.min(), abs=1e-6)
    assert value(rough) == pytest.approx(values.max(), abs=1e-6)


def test_spreading_keeps_what_lies_below_and_is_nearest_to_the_series() -> None:
    here = stand(voice=2)
    steered = spread_from_here(here)
    assert steered.pitches[2:] == here.now[2:]
    rows = here.rows
    now = [pitch.midi for pitch in here.rising]
    kept = rows[(rows[:, :2] == now[:2]).all(axis=1)]
    kept = kept[(np.diff(kept, axis=1) > 0).all(axis=1)]
    classes = {pitch.midi % 12 for pitch in here.now}
    best = series_profile(kept, root=9, pitch_classes=classes).min()
    own = [pitch.midi for pitch in reversed(steered.pitches)]
    assert series_profile(own, root=9, pitch_classes=classes)[0] == pytest.approx(best)
    assert steered.sentence.startswith("Spread like the series from ")


def test_a_fundamental_explains_no_less_than_before() -> None:
    from harmony.acoustics.fundamental import support_of

    here = stand()
    steered = sit_on(here, "A1")
    before = support_of([pitch.midi for pitch in here.now], 33)
    after = support_of([pitch.midi for pitch in steered.pitches], 33)
    assert after >= before
    assert steered.sentence.startswith("Laid over A1: ")


@pytest.mark.parametrize(
    ("fundamental", "said"),
    [
        ("", "No fundamental is given; write one such as C1"),
        ("C7", "The fundamental C7 lies above the lowest note"),
        ("C-1", "C-1 is beyond hearing"),
    ],
)
def test_a_fundamental_that_cannot_be_is_refused(fundamental: str, said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        sit_on(stand(), fundamental)


def test_players_are_compared_and_what_they_cannot_play_is_told() -> None:
    here = stand()
    heard = hear_chord(here.realisation, 1)
    told = tell_comparison(heard, ensemble("string quartet"), ensemble("horn quartet"))
    assert "horn quartet instead of string quartet" in told
    assert "outside every register" not in told
    low = tell_comparison(heard, ensemble("string quartet"), ensemble("woodwind quintet"))
    assert low.endswith(".")
    same = tell_comparison(heard, ensemble("string quartet"), ensemble("string quartet"))
    assert "as rough" in same


def test_the_desk_s_own_players_sound_in_a_comparison_as_the_facts_have_them() -> None:
    problem = prepare(parse("{C2 E2 G2 C3}"), "trombones and tuba")
    heard = hear_chord(problem.best(), 0)
    told = tell_comparison(heard, problem.ensemble, ensemble("horn quartet"))
    assert f"against {write_figure(heard.found.roughness)}, both mezzo forte" in told


@pytest.mark.parametrize("choose", [spread_from_here, smooth_between, roughen_between])
def test_a_chord_written_as_its_notes_is_not_spread(choose: object) -> None:
    problem = prepare(parse("{C2 C3 E4 G4}"), "string quartet")
    with pytest.raises(HarmonyError) as refused:
        choose(Standpoint(problem, problem.best(), 0))  # type: ignore[operator]
    assert str(refused.value) == (
        "Bar 1 beat 1 is written as these very notes, C2 C3 E4 G4; a chord written by its"
        " name, such as C7 or V7, can be spread otherwise."
    )


def test_out_of_range_is_words() -> None:
    problem = prepare(parse("{C2 E3 C4 G4}"), "string quartet")
    heard = hear_chord(problem.best(), 0)
    told = tell_comparison(heard, ensemble("string quartet"), ensemble("SATB choir"))
    assert "C2 lies outside every register of SATB choir." in told


def test_a_doubling_is_told_with_the_partials_it_strengthens() -> None:
    heard = hear_chord(stand().realisation, 0)
    lowest = heard.pitches[0]
    told = tell_doubling(heard, f"{lowest.letter}{lowest.octave}", "an octave below")
    assert f"adds {lowest.letter}{lowest.octave - 1}" in told
    with pytest.raises(HarmonyError, match="There is no H9 in the chord"):
        tell_doubling(heard, "H9", "an octave above")


def test_pure_and_tempered_differ_and_the_series_is_a_series() -> None:
    heard = hear_chord(prepare(parse("{C2 G2 E3 C4 G4 E5}"), "clarinet choir").best(), 0)
    sounds = sounds_of(heard)
    tempered = {round(tone["hz"], 1) for tone in sounds["tempered"]}
    assert 164.8 in tempered  # E3, 12-tone equal temperament on A440
    pure = [tone["hz"] for tone in sounds["pure"]]
    assert pure[2] / pure[0] == pytest.approx(5 / 2, abs=1e-4)
    assert pure[1] / pure[0] == pytest.approx(3 / 2, abs=1e-4)
    series = [tone["hz"] for tone in sounds["series"]]
    assert len(series) == 16
    assert series[15] / series[0] == pytest.approx(16.0, abs=1e-3)
    assert all(tone["hz"] <= MOST_HZ for tones in sounds.values() for tone in tones)


def test_root_and_fundamental_are_two_facts() -> None:
    heard = hear_chord(stand().realisation, 2)  # D/F#: what the ear takes for the bass's series
    facts = {fact.heading: fact for fact in tell_facts(heard)}
    assert facts["Theoretical root"].sentence == "D, from the chord's name."
    assert "Hz, explains" in facts["Acoustic fundamental"].sentence
    assert name_chord(heard).startswith("Bar 3, beat 1: I6, ")


def test_findings_about_low_intervals_warn_and_defer() -> None:
    low = hear_chord(prepare(parse("{C2 E2 G2 C3}"), "trombones and tuba").best(), 0)
    fact = next(fact for fact in tell_facts(low) if fact.heading == "Low intervals")
    assert fact.is_warning
    assert fact.sentence.endswith(DEFERENCE)
    fine = hear_chord(stand().realisation, 0)
    fact = next(fact for fact in tell_facts(fine) if fact.heading == "Low intervals")
    assert not fact.is_warning


def test_runs_of_numbers_are_drawn_together() -> None:
    assert write_numbers((4, 6, 7, 9, 10, 11)) == "4, 6, 7, 9 to 11"
    assert write_numbers((3,)) == "3"
