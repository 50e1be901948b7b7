"""Harmonisations carried to desk 1: the chords, or the tune in a voice with them."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from harmony.pitch import Line
from harmony.reading.opening import read
from harmony.reading.theme import score_to_theme
from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.keeping import (
    carry_to_voicing,
)
from harmony.workbench.harmonising.players import NO_VOICE
from harmony.workbench.harmonising.state import Choices, Question
from harmony.workbench.harmonising.view import HarmonisingDesk
from harmony.workbench.harmonising.work import Work, do_work
from harmony.workbench.progression.keeping import keep_to_choices as open_at_desk_1
from harmony.workbench.progression.presenter import present_result
from harmony.workbench.progression.tune import work_to_tune
from harmony.workbench.progression.work import Work as VoicingWork
from harmony.workbench.progression.work import find_best
from tests.unit.workbench.messages import send

QUESTION = Question("Pattern drawer")


def test_chords_alone_are_carried_to_desk_1(work: Work, tmp_path: Path) -> None:
    keep, let_go = carry_to_voicing(
        Sketchbook(tmp_path), "x", work, ensemble="string quartet", voice=""
    )
    assert let_go == ""
    opened = open_at_desk_1(keep)
    assert opened.text == str(work.shown.progression)
    assert opened.given == ()


@pytest.mark.parametrize(
    ("ensemble", "voice", "octaves"),
    [
        ("string quartet", "Violin 1", 0),
        ("woodwind quintet", "Flute", 0),
        ("SATB choir", "Alto", -1),
    ],
)
def test_the_tune_is_carried_in_a_voice_in_its_own_rhythm(
    work: Work, tmp_path: Path, ensemble: str, voice: str, octaves: int
) -> None:
    keep, _ = carry_to_voicing(Sketchbook(tmp_path), "x", work, ensemble=ensemble, voice=voice)
    voiced = find_best(open_at_desk_1(keep))
    place = [one.name for one in voiced.problem.ensemble.voices].index(voice)
    (given,) = voiced.problem.given
    assert given.voice == place
    tune = [(n.onset, n.duration, n.pitch.midi) for n in work.melody.notes if n.pitch]
    moved = [(onset, length, midi + 12 * octaves) for onset, length, midi in tune]
    sounding = [(n.onset, n.duration, n.pitch.midi) for n in given.line.sounding if n.pitch]
    assert sounding == moved
    heard = work_to_tune(voiced)["voices"][place]["notes"]
    assert [midi for _, _, midi in heard] == [midi for _, _, midi in moved]
    kept = score_to_theme(read(keep.score_path), part=voice)
    assert [(n.onset, n.duration, n.pitch.midi) for n in kept.line.sounding if n.pitch] == moved
    assert consecutive_perfects(voiced, dict(open_at_desk_1(keep).given)) == []


def consecutive_perfects(voiced: VoicingWork, given: dict[str, Line]) -> list[tuple[int, int, int]]:
    """Fifths and octaves in parallel, as the lines sound at each change."""
    names = [voice.name for voice in voiced.problem.ensemble.voices]
    slots, pitches = voiced.problem.progression.slots, voiced.shown.pitches

    def sounds(place: int, slot: int, *, before: bool) -> int:
        line = given.get(names[place])
        if line is None:
            return pitches[slot - before][place].midi
        at = slots[slot].onset
        notes = [n for n in line.sounding if (n.onset < at if before else n.onset <= at)]
        assert notes[-1].pitch is not None
        return notes[-1].pitch.midi

    found = []
    for slot in range(1, len(slots)):
        for a, b in itertools.combinations(range(len(names)), 2):
            old = sounds(a, slot, before=True) - sounds(b, slot, before=True)
            new = sounds(a, slot, before=False) - sounds(b, slot, before=False)
            moves = sounds(a, slot, before=True) != sounds(a, slot, before=False)
            if moves and old % 12 == new % 12 and new % 12 in (0, 7) and old == new:
                found.append((slot, a, b))
    return found


def test_rules_let_go_for_a_tune_are_told_at_both_desks(tmp_path: Path) -> None:
    work = do_work(Choices(Question("Night shift", ("extended",))))
    keep, let_go = carry_to_voicing(
        Sketchbook(tmp_path), "x", work, ensemble="SATB choir", voice="Soprano"
    )
    assert let_go.startswith("What is given leaves no voicing by all the rules: in bar ")
    assert "no voice has " in let_go
    opened = find_best(open_at_desk_1(keep))
    assert let_go in present_result(opened)


@pytest.mark.parametrize(("number", "holds"), [(0, ""), (2, "Viola"), (3, "Viola")])
@pytest.mark.parametrize("voice", ["", "Violin 1"])
def test_a_pedal_that_chords_have_no_word_for_is_held_by_a_voice_of_its_own(
    tmp_path: Path, number: int, holds: str, voice: str
) -> None:
    held = do_work(Choices(Question("Pattern drawer", idioms=("pedal",))).with_shown(number))
    keep, told = carry_to_voicing(
        Sketchbook(tmp_path), "x", held, ensemble="string quartet", voice=voice
    )
    opened = find_best(open_at_desk_1(keep))
    pedals = {slot.pedal for slot in opened.problem.progression}
    assert {str(one) for one in pedals} == ({"E"} if number < 3 else {"None"})
    given = dict(open_at_desk_1(keep).given)
    assert set(given) == {name for name in (voice, holds) if name}
    if not holds:
        assert "held through" not in told
        return
    assert told.endswith(f"B, held through the chords, lies in {holds}.")
    (note,) = given[holds].sounding
    assert (note.onset, note.end) == (0, held.melody.end)
    assert note.pitch is not None
    assert str(note.pitch.name) == "B"
    # What the players read has it too, each bar tied to the next.
    kept = score_to_theme(read(keep.score_path), part=holds)
    assert [(one.duration, one.pitch) for one in kept.line.sounding] == [
        (note.duration, note.pitch)
    ]


def test_a_score_put_into_the_folder_is_listed_when_a_hand_comes_near(tmp_path: Path) -> None:
    desk = HarmonisingDesk()
    assert "own.abc" not in desk.asking.source.options
    (tmp_path / "own.abc").write_text("X:1\nM:4/4\nL:1/4\nK:C\nc d e f|g4|\n")
    assert desk.asking.source.is_watched
    send(desk.asking.source, look=True)
    assert "own.abc" in desk.asking.source.options
    assert desk.asking.source.value == "Pattern drawer"


def test_without_the_tune_it_is_said_so() -> None:
    desk = HarmonisingDesk()
    carried = desk.shelf.carried
    carried.voice.value = NO_VOICE
    send(carried.carry, press="carry")
    assert desk.shelf.keeping.message.endswith("the chords stand there voiced, without the tune.")
