"""Pedals carried to players: each held note in a voice, for as long as it is held."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

import harmony
from harmony.harmonising.carrying import carry_to_players
from harmony.harmonising.harmonisation import Harmonisation, Held
from harmony.harmonising.pedal_voices import say_pedals
from harmony.instruments.catalogue import ensemble
from harmony.pitch.spelling import PitchName
from harmony.resources import find_corpora


def with_pedals(tune: str) -> tuple[Harmonisation, ...]:
    path = find_corpora("loom_hall", f"{tune}.abc")
    return harmony.harmonise(path, idioms=("pedal",), count=5).alternatives


def sounding_at(carried, time: Fraction) -> set[int]:
    """The pitch classes that the players have at a time, lines in their own rhythm among them."""
    realised = carried.voiced.alternatives[0]
    given = {line.voice: line.line for line in realised.given}
    slot = max(n for n, s in enumerate(realised.progression) if s.onset <= time)
    found = {
        pitch.pitch_class
        for voice, pitch in enumerate(realised.pitches[slot])
        if voice not in given
    }
    for line in given.values():
        found |= {n.pitch.pitch_class for n in line.sounding if n.onset <= time < n.end and n.pitch}
    return found


@pytest.mark.parametrize(
    ("tune", "players"), [("pattern_drawer", "string quartet"), ("lamps_out", "string quintet")]
)
def test_every_held_note_sounds_for_as_long_as_it_is_held(tune: str, players: str) -> None:
    names = set()
    for one in with_pedals(tune):
        carried = carry_to_players(one, players)
        assert all(strand.voice for strand in carried.held)
        for slot in one.progression:
            heard = sounding_at(carried, slot.onset)
            for held in one.held_at(slot.onset):
                assert held.name.pitch_class in heard, (one.name, slot.place)
        names |= {one.name for strand in carried.held}
    assert {"double pedal", "inner pedal", "pedal on top"} <= names


def test_a_double_pedal_lies_low_and_an_inner_one_in_the_middle() -> None:
    by_name = {one.name: one for one in with_pedals("lamps_out")}
    double = carry_to_players(by_name["double pedal"], "string quintet")
    assert [strand.voice for strand in double.held] == ["Viola 2"]
    assert say_pedals(double.held) == "A, held through the chords, lies in Viola 2."
    inner = carry_to_players(by_name["inner pedal"], "string quintet")
    assert inner.held[0].voice in ("Viola 1", "Violin 2")


def test_outside_its_bars_the_voice_of_a_pedal_has_notes_of_the_chords() -> None:
    plain = harmony.harmonise(find_corpora("loom_hall", "pattern_drawer.abc"), count=1)
    one = plain.alternatives[0]
    end = Fraction(12)
    held = (Held(PitchName("B", 0), Fraction(0), end, "inside"),)
    carried = carry_to_players(one.with_held(held), "string quintet")
    name = carried.held[0].voice
    voice = [one.name for one in ensemble("string quintet").voices].index(name)
    (line,) = [line.line for line in carried.voiced.problem.given if line.voice == voice]
    assert (line.notes[0].onset, line.notes[0].end) == (0, end)
    after = [slot for slot in one.progression if slot.onset >= end]
    assert [note.onset for note in line.notes[1:]] == [slot.onset for slot in after]
    for note, slot in zip(line.notes[1:], after, strict=True):
        assert note.pitch is not None
        assert slot.chord is not None
        assert note.pitch.pitch_class in slot.chord.pitch_classes


def test_where_no_voice_can_hold_it_it_is_said() -> None:
    one = next(one for one in with_pedals("lamps_out") if one.name == "inner pedal")
    far = replace(one, held=(replace(one.held[0], name=PitchName("G", 1)),))
    carried = carry_to_players(far, "string quartet", voice="")
    assert carried.held[0].voice
    two = tuple(replace(one.held[0], name=PitchName(letter, 0)) for letter in "ABCEG")
    crowded = carry_to_players(replace(one, held=two), "string quartet")
    assert "is left out: no voice of these players can hold it" in say_pedals(crowded.held)
