"""Given lines, pedals, registers that change, locked chords, sonorities of one's own."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.voicings.api import prepare, voice
from harmony.voicings.presets import preset_names
from harmony.voicings.rules import RuleSet


def line_of(*notes):
    """A line of (pitch or None, quarters) one after another."""
    onset, made = Fraction(0), []
    for name, quarters in notes:
        pitch = None if name is None else Pitch.from_text(name)
        made.append(Note(onset, Fraction(quarters), pitch))
        onset += Fraction(quarters)
    return Line(tuple(made))


def names(realisation, place):
    return [str(chord[place]) if chord else "" for chord in realisation.pitches]


def test_a_melody_in_its_own_rhythm_rules_the_chords():
    tune = line_of(("E5", 1), ("D5", 1), ("B4", 2), ("D5", 1), ("C5", 3))
    voiced = voice("C: I V | I", "SATB choir", melody=tune)
    assert names(voiced.alternatives[0], 0) == ["E5", "B4", "C5"]
    events = voiced.to_score().parts[0].staves[0].events
    assert [event.duration for event in events] == [1, 1, 2, 1, 3]


def test_a_melody_note_foreign_to_the_chord_stays():
    tune = line_of(("F5", 2), ("D5", 2), ("C5", 4))
    best = voice("C: I V | I", "SATB choir", melody=tune).alternatives[0]
    assert names(best, 0) == ["F5", "D5", "C5"]
    assert {p.name for p in best.pitches[0][1:]} <= set(best.progression.slots[0].chord.names)


def test_a_melody_may_lie_in_any_voice_and_rest():
    tune = line_of(("G3", 2), (None, 2), ("E3", 4))
    best = voice("C: I V | I", "SATB choir", melody={"Tenor": tune}).alternatives[0]
    assert names(best, 2)[0] == "G3"
    assert names(best, 2)[2] == "E3"


def test_two_given_lines():
    tune = line_of(("E5", 2), ("D5", 2), ("C5", 4))
    bass = line_of(("C3", 2), ("B2", 2), ("C3", 4))
    best = voice("C: I V | I", "SATB choir", melody={"Soprano": tune, "Bass": bass}).alternatives[0]
    assert names(best, 0) == ["E5", "D5", "C5"]
    # A given bass decides the inversion, whatever the numeral says.
    assert names(best, 3) == ["C3", "B2", "C3"]


def test_locked_bars_are_pins_in_every_voice():
    problem = prepare("C: I V7 | vi IV | V7 I", "SATB choir")
    old = problem.best()
    pins = [
        f"2.{beat} {v.name}={pitch}"
        for beat, chord in ((1, old.pitches[2]), (3, old.pitches[3]))
        for v, pitch in zip(problem.ensemble.voices, chord, strict=True)
    ]
    new = problem.best({"motion": 0, "spacing": 3, "register": 2}, pins)
    assert new.pitches[2:4] == old.pitches[2:4]


def test_registers_that_change_at_a_bar():
    best = voice(
        "C: I | V | I | V", "SATB choir", registers={"3 Soprano": "C5-G5", "Soprano": "C4-A4"}
    ).alternatives[0]
    heights = [chord[0].midi for chord in best.pitches]
    assert max(heights[:2]) <= 69
    assert min(heights[2:]) >= 72


def test_a_pedal_below_and_above():
    below = voice("C: pedal D [ I | V ] | I", "SATB choir").alternatives[0]
    assert [chord[-1].name.letter for chord in below.pitches[:2]] == ["D", "D"]
    above = voice("C: pedal G above [ IV | ii ] | I", "SATB choir").alternatives[0]
    assert [chord[0].name.letter for chord in above.pitches[:2]] == ["G", "G"]
    assert [chord[-1].name.letter for chord in above.pitches[:2]] == ["F", "D"]


def test_a_chord_may_be_silent():
    best = voice("C: I | N.C. | V | I", "string quartet").alternatives[0]
    assert best.pitches[1] == ()
    assert best.to_json()["slots"][1]["pitches"] == []


@pytest.mark.parametrize("preset", preset_names())
@pytest.mark.parametrize(
    "text",
    [
        "{C D F G} | {C# D# F# G#}",
        "{C C# D} | {E F F#}",
        "{F Bb Eb Ab, stacked} | {G C F Bb, stacked}",
        "{C3 G3 D4 A4} | {D3 A3 E4 B4}",
        "{C E F# Bb} | {Db F G B}",
    ],
)
def test_sonorities_of_ones_own_in_every_preset(preset, text):
    progression = prepare(text, "string quartet", preset=preset)
    best = progression.best()
    for slot, pitches in zip(best.progression.slots, best.pitches, strict=True):
        assert {pitch.name for pitch in pitches} == set(slot.chord.names)
        if not slot.chord.stacked and not slot.chord.fixed:
            assert pitches[-1].name == slot.chord.bass
    if "stacked" in text:
        midi = np.array([[pitch.midi for pitch in chord] for chord in best.pitches])
        assert (-np.diff(midi, axis=1) == 5).all()


def test_fixed_pitches_stand_as_they_are():
    best = voice("{C2 G2 E3 Bb3 F#4}", "string orchestra").alternatives[0]
    assert [str(pitch) for pitch in best.pitches[0]] == ["F#4", "Bb3", "E3", "G2", "C2"]


def test_strands_in_octaves_are_one_part():
    doublings = (("Violin I", "Violin II", 1), ("Double bass", "Cello", -1))
    best = prepare("C: I V7 | vi IV | V I", "string orchestra", RuleSet(doublings=doublings)).best()
    for chord in best.pitches:
        first, second, _, cello, bass = (pitch.midi for pitch in chord)
        assert first - second == 12
        assert cello - bass == 12
    assert best.term_costs["consecutive_perfects"] == 0
    assert best.term_costs["doubling"] == 0
