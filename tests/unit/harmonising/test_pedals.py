"""Pedals below, inside and above: where they begin and end, what stands around them."""

from __future__ import annotations

from itertools import pairwise

import pytest

import harmony
from harmony.harmonising.compare import join_bars
from harmony.reading.opening import read
from harmony.resources import find_corpora

THEMES = ("shuttle", "pattern_drawer", "lamps_out")
#: An idiom and the pedal that is one of its ideas.
ELSEWHERE = {
    "common-practice": "pedals at both ends",
    "modal": "double pedal",
    "romantic": "inner pedal",
    "third-relations": "inner pedal",
    "extended": "pedal before the close",
}


@pytest.fixture(scope="module")
def found():
    return {
        name: harmony.harmonise(
            harmony.open_theme(find_corpora("loom_hall", f"{name}.abc")), idioms=("pedal",), count=7
        )
        for name in THEMES
    }


@pytest.fixture(scope="module")
def others():
    return {
        (name, idiom): harmony.harmonise(
            harmony.open_theme(find_corpora("loom_hall", f"{name}.abc")), idioms=(idiom,), count=5
        )
        for name in THEMES
        for idiom in ELSEWHERE
    }


def chord_during(one, time):
    return next(slot.chord for slot in reversed(one.progression.slots) if slot.onset <= time)


def check_ends(one):
    """Each note held belongs to the chord it comes in with and to the one it leaves with."""
    assert one.held
    slots = one.progression.slots
    for note in one.held:
        assert slots[0].onset <= note.start < note.end <= one.progression.end
        entering = chord_during(one, note.start)
        leaving = next(s.chord for s in reversed(slots) if s.onset < note.end)
        assert note.name in entering.names, (one.name, note)
        assert note.name in leaving.names, (one.name, note)


def test_every_held_note_belongs_where_it_comes_in_and_leaves(found):
    for answers in found.values():
        for one in answers.alternatives:
            check_ends(one)


def test_there_are_pedals_below_inside_above_and_double_ones(found):
    for answers in found.values():
        places = {one.name: {note.place for note in one.held} for one in answers.alternatives}
        assert places["tonic pedal"] == {"below"}
        assert places["inner pedal"] == {"inside"}
        assert places["pedal on top"] == {"above"}
        double = next(one for one in answers.alternatives if one.name == "double pedal")
        low, high = double.held
        assert (low.start, low.end) == (high.start, high.end)
        assert (high.name.pitch_class - low.name.pitch_class) % 12 == 7


def test_a_pedal_may_begin_and_end_inside_the_tune(found):
    for answers in found.values():
        one = next(a for a in answers.alternatives if a.name == "pedal before the close")
        (note,) = one.held
        assert note.start > one.progression.slots[0].onset
        assert note.end < one.progression.end
        assert {slot.pedal is None for slot in one.progression} == {True, False}


def test_chords_over_a_bass_that_is_held_are_no_inversions(found, others):
    for answers in (*found.values(), *others.values()):
        for one in answers.alternatives:
            for slot in one.progression:
                if any(note.place == "below" for note in one.held_at(slot.onset)):
                    assert slot.chord.bass == slot.chord.root


def test_around_a_note_held_inside_the_bass_moves(found):
    for answers in found.values():
        one = next(a for a in answers.alternatives if a.name == "inner pedal")
        basses = [slot.bass for slot in one.progression]
        assert sum(a != b for a, b in pairwise(basses)) >= len(basses) / 2


@pytest.mark.parametrize("idiom", ELSEWHERE)
@pytest.mark.parametrize("name", THEMES)
def test_pedals_are_ideas_in_other_idioms(others, name, idiom):
    answers = others[name, idiom].alternatives
    one = next(a for a in answers if a.name == ELSEWHERE[idiom])
    check_ends(one)
    assert "held" in one.idea


def test_what_is_held_is_said_in_the_sentence_and_in_the_json(found):
    for answers in found.values():
        data = answers.to_json()["alternatives"]
        for one, said in zip(answers.alternatives, data, strict=True):
            for note, told in zip(one.held, said["held"], strict=True):
                assert str(note.name) in one.idea
                assert told["pitch"] == str(note.name)
                assert told["place"] in ("below", "inside", "above")
            for slot, chord in zip(one.progression, said["chords"], strict=True):
                wanted = {str(note.name) for note in one.held_at(slot.onset)}
                assert wanted <= set(chord["pitches"])


def test_the_score_has_each_pedal_as_a_held_line(found, tmp_path):
    for name, answers in found.items():
        for number, one in enumerate(answers.alternatives, start=1):
            path = answers.to_musicxml(tmp_path / f"{name}{number}.musicxml", number)
            parts = {part.name: part for part in read(path).parts}
            written = {
                place: parts[title]
                for title, place in (
                    ("Pedal", "below"), ("Inner pedal", "inside"), ("Pedal on top", "above")
                )
                if title in parts
            }  # fmt: skip
            assert set(written) == {note.place for note in one.held}
            for note in one.held:
                events = [e for e in written[note.place].staves[0].events if e.pitches]
                inside = [e for e in events if note.start <= e.onset < note.end]
                assert all(note.name in {p.name for p in e.pitches} for e in inside)
                assert sum(e.duration for e in inside) == note.end - note.start
                # Tied through: one attack for as long as it is held.
                attacks = [
                    e for e in inside
                    if all(e.tie_of.get(p) in (None, "start") for p in e.pitches)
                ]  # fmt: skip
                assert len(attacks) == 1


def test_joined_and_changing_alternatives_keep_their_pedals(found):
    theme = found["pattern_drawer"].theme
    joined = join_bars(found["pattern_drawer"], 1, 3, at_bar=9)
    assert [(str(one.name), one.place) for one in joined.held] == [
        ("E", "below"), ("E", "below"), ("B", "below")
    ]  # fmt: skip
    joint = theme.meters.bar_start(9)
    assert {one.end for one in joined.held_at(joint - 1)} == {joint}
    assert {one.start for one in joined.held_at(joint)} == {joint}
    changing = harmony.harmonise(theme, idioms=("pedal, from bar 9 common-practice",), count=1)
    one = changing.alternative(1)
    (note,) = one.held
    assert (str(note.name), note.end) == ("E", joint)
    assert "E is held in the bass in bars 1 to 8" in one.idea
    check_ends(one)
