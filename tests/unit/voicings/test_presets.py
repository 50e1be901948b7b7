"""Laws of the presets for players."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from harmony.errors import HarmonyError
from harmony.instruments.catalogue import ensemble, ensemble_names
from harmony.pitch.spelling import Pitch
from harmony.tables import read_rows, read_toml
from harmony.voicings.api import prepare
from harmony.voicings.costs import TERM_NAMES, standard_costs
from harmony.voicings.presets import load_preset, preset_names

PRESETS = ("chorale", "strings", "brass", "woodwinds", "horns", "keyboard", "parallel", "free")
TEXT = "Eb: I V65 | I IV | ii65 V7 | vi iv | I64 V7 | I"
# Under which thirds lie low, so that a way of writing that does not mind them writes some.
LOW_TEXT = "C: I | V6 | vi | iii6 | IV | I6 | ii65 | V | I"
LIMITS = dict(
    read_rows(
        "low_intervals.csv",
        lambda row: (int(row["semitones"]), Pitch.from_text(row["lowest"]).midi),
    )
)


def midi_of(realisation):
    return np.array([[pitch.midi for pitch in chord] for chord in realisation.pitches])


def low_faults(chord):
    """Semitones by which neighbouring notes lie under the limit of their interval."""
    notes = sorted(chord)
    gaps = [(b - a, a) for a, b in pairwise(notes)]
    return sum(max(LIMITS.get(gap, 0) - low, 0) for gap, low in gaps)


def test_the_presets_and_terms_are_those_of_the_design():
    assert preset_names() == PRESETS
    assert tuple(cost.name for cost in standard_costs()) == TERM_NAMES
    for name in PRESETS:
        for voices in (4, 5):
            preset = load_preset(name, voices)
            assert set(preset.weights) == set(TERM_NAMES)
            assert preset.weights["series_profile"] <= 0.05
            assert preset.weights["stillness"] == 0
            assert all(cost.unit and cost.sentence and cost.source for cost in preset.costs)


def test_every_source_is_in_the_list_of_sources():
    from harmony.tables import read_text

    listed = read_text("sources.bib")
    sources = {entry["source"] for entry in read_toml("voicing/terms.toml").values()}
    for entry in read_toml("voicing/presets.toml").values():
        sources |= {entry["source"], entry.get("four_parts", entry)["source"]}
    for source in sources - {"common practice"}:
        assert f"{{{source}," in listed, source


def test_every_ensemble_has_a_preset_that_exists():
    for name in ensemble_names():
        assert ensemble(name).preset in PRESETS


@pytest.mark.parametrize("text", [TEXT, LOW_TEXT, "D: I | IV | I6 | V | vi | I"])
@pytest.mark.parametrize("players", ["brass quintet", "trombones and tuba", "horn quartet"])
def test_brass_writes_no_low_close_interval_when_another_voicing_is_in_reach(players, text):
    problem = prepare(text, players)
    assert list_needless_faults(problem, midi_of(problem.best())) == []


def list_needless_faults(problem, best):
    """The chords that have a low close interval though another voicing of them has none."""
    return [
        number
        for number, (chord, voicings) in enumerate(zip(best, problem.layout.voicings, strict=True))
        if low_faults(chord) and min(map(low_faults, voicings.pitches.tolist())) == 0
    ]


@pytest.mark.parametrize("players", ["brass quintet", "trombones and tuba"])
def test_without_its_cost_brass_would_write_low_close_intervals(players):
    problem = prepare(LOW_TEXT, players)
    assert list_needless_faults(problem, midi_of(problem.best({"low_intervals": 0}))) != []


@pytest.mark.parametrize("key", ["C", "D", "Bb", "E"])
def test_parallel_keeps_the_shape_of_the_chord(key):
    best = midi_of(
        prepare(f"{key}: I | ii | iii | IV | V", "string quartet", preset="parallel").best()
    )
    moves = np.diff(best, axis=0)
    # Major and minor triads differ by a semitone, so may the moves of their voices.
    assert (moves.max(axis=1) - moves.min(axis=1) <= 1).all()
    planed = midi_of(prepare("Cmaj7 | Dmaj7 | Ebmaj7", "string quartet", preset="parallel").best())
    moves = np.diff(planed, axis=0)
    assert (moves == moves[:, :1]).all()


def term_sum(realisation, term):
    return int(realisation.amounts[:, TERM_NAMES.index(term)].sum())


@pytest.mark.parametrize("preset", sorted({*PRESETS} - {"parallel", "free"}))
def test_who_forbids_consecutives_writes_none_where_none_need_be(preset):
    best = prepare(TEXT, "string quartet", preset=preset).best()
    rows = midi_of(best)
    for before, after in pairwise(rows.tolist()):
        for high, low in ((a, b) for b in range(4) for a in range(b)):
            old, new = before[high] - before[low], after[high] - after[low]
            moves = after[high] - before[high], after[low] - before[low]
            assert not (old % 12 == new % 12 in (0, 7) and 0 not in moves)


@pytest.mark.parametrize("preset", PRESETS)
def test_every_preset_keeps_what_a_chord_cannot_do_without(preset):
    # So many ninths and sevenths that any preset would leave notes out if it might.
    text = "C: V7 | I | V9 | vi | ii9 | V9 | I | V7/V | V65 | vi7 | V7 | I"
    problem = prepare(text, "string quintet", preset=preset)
    for slot, chord in zip(problem.progression, midi_of(problem.best()), strict=True):
        root = slot.chord.root.pitch_class
        above = {(pitch - root) % 12 for pitch in chord.tolist()}
        assert above & {3, 4}, slot.figure
        if "7" in slot.figure or "9" in slot.figure or "65" in slot.figure:
            assert 10 in above, slot.figure
        assert int(chord[-1]) % 12 == slot.chord.bass.pitch_class


def test_strings_stand_more_open_than_the_chorale_over_a_clear_bass():
    strings, chorale = (
        midi_of(prepare(TEXT, "string quartet", preset=preset).best())
        for preset in ("strings", "chorale")
    )
    assert (strings[:, 0] - strings[:, -1]).mean() > (chorale[:, 0] - chorale[:, -1]).mean()
    gaps = -np.diff(strings, axis=1).mean(axis=0)
    assert gaps[-1] == max(gaps)


def test_woodwinds_sit_closer_than_strings_and_in_their_good_registers():
    woodwinds, strings = (
        prepare(TEXT, "woodwind quintet", preset=preset).best()
        for preset in ("woodwinds", "strings")
    )
    spans = [(midi_of(one)[:, 0] - midi_of(one)[:, -2]).mean() for one in (woodwinds, strings)]
    assert spans[0] <= spans[1]
    assert term_sum(woodwinds, "register") <= term_sum(strings, "register")


def test_horns_stand_close_and_hold_more_than_strings():
    horns, strings = (
        midi_of(prepare(TEXT, "horn quartet", preset=preset).best())
        for preset in ("horns", "strings")
    )
    assert (horns[:, 0] - horns[:, -2] <= 12).all()
    assert (np.diff(horns, axis=0) == 0).sum() > (np.diff(strings, axis=0) == 0).sum()


def test_keyboard_keeps_the_upper_notes_under_one_hand():
    for voicings in prepare(TEXT, "piano").layout.voicings:
        assert (voicings.pitches[:, -1] - voicings.pitches[:, 1] <= 14).all()


def test_free_pays_nothing_for_consecutives_that_strict_presets_avoid():
    text = "C: I | ii | iii | IV"
    free = prepare(text, "string quartet", preset="free").best()
    strict = prepare(text, "string quartet", preset="strings").best()
    column = TERM_NAMES.index("consecutive_perfects")
    assert free.amounts[:, column].sum() > 0
    assert free.term_costs["consecutive_perfects"] == 0
    assert strict.amounts[:, column].sum() == 0


def test_stillness_asks_for_inner_movement():
    problem = prepare("C: I vi | IV I | V I", "string quartet")
    inner = slice(1, -1)
    calm = (np.diff(midi_of(problem.best()), axis=0)[:, inner] == 0).sum()
    lively = (np.diff(midi_of(problem.best({"stillness": 20})), axis=0)[:, inner] == 0).sum()
    assert lively < calm


def test_the_series_profile_widens_the_spacing_below():
    problem = prepare("C: I", "brass quintet")
    plain = dict.fromkeys(TERM_NAMES, 0) | {"series_profile": 1}
    spaced = sorted(midi_of(problem.best(plain))[0].tolist())
    gaps = np.diff(spaced)
    assert gaps[0] == max(gaps)
    assert problem.best(plain).cost == 0


def test_an_unknown_preset_names_those_there_are():
    with pytest.raises(HarmonyError, match="did you mean 'strings'"):
        load_preset("string")
