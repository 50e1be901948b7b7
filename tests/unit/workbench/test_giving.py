"""Lines, registers from a bar on and movement at desk 1; and what the rules cost."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from harmony.pitch.spelling import Pitch
from harmony.voicings.pricing import RulePrice, price_here, price_rules
from harmony.workbench.progression.opening import TEXT
from harmony.workbench.progression.ruling import tell_prices
from harmony.workbench.progression.view import ProgressionDesk
from tests.unit.workbench.messages import send
from tests.unit.workbench.test_holding import lock

TUNE = "X:1\nT:Tune\nM:4/4\nL:1/4\nK:C\nV:1\nG G A A|G2 F2|E4|]\nV:2\nC,2 F,2|G,4|C,4|]\n"
CHORDS = "C: I IV | V | I"


@pytest.fixture
def with_tune(desk: ProgressionDesk, tmp_path: Path) -> ProgressionDesk:
    (tmp_path / "tune.abc").write_text(TUNE, encoding="utf-8")
    desk.entry.value = CHORDS
    send(desk.entry, submit=CHORDS)
    desk.giving.folded.fold.is_open = True
    return desk


def give(desk: ProgressionDesk, voice: str, part: int) -> None:
    desk.giving.voice.value = voice
    desk.giving.part.value = desk.giving.part.options[part - 1]
    send(desk.giving.actions, press="give")


def test_two_lines_are_given_in_their_own_rhythm_and_taken_back(
    with_tune: ProgressionDesk,
) -> None:
    desk = with_tune
    assert desk.giving.score.value == "tune.abc"
    give(desk, "Viola", 1)
    give(desk, "Cello", 2)
    assert desk.giving.told.text.count("has a line of its own") == 2
    viola = [chord[2] for chord in desk.work.shown.pitches]
    assert [str(pitch) for pitch in viola] == ["G4", "A4", "G4", "E4"]
    assert [str(chord[3]) for chord in desk.work.shown.pitches] == ["C3", "F3", "G3", "C3"]
    sounding = desk.player.tune["voices"][2]["notes"]
    assert [length for _, length, _ in sounding] == [1, 1, 1, 1, 2, 2, 4]
    desk.giving.voice.value = "Viola"
    send(desk.giving.actions, press="free")
    assert [name for name, _ in desk.history.present.given] == ["Cello"]
    send(desk.actions, press="undo")
    assert len(desk.history.present.given) == 2


def test_first_and_last_chord_stay_fixed_beside_two_lines_a_lock_and_a_register(
    with_tune: ProgressionDesk,
) -> None:
    desk = with_tune
    desk.entry.value = "C: I IV | V | I | IV V | I"
    send(desk.entry, submit=desk.entry.value)
    last = len(desk.work.shown.pitches) - 1
    for slot in (0, last):
        send(desk.sheet, choose=[slot, 0])
        send(desk.fixing.actions, press="fix")
    lock(desk, "3")
    send(desk.giving.register, submit="4 Violin 2=C4-G4")
    before = desk.work.shown.pitches
    assert desk.fixing.told.text == (
        "Locked: bar 3. Fixed as voiced: bar 1, beat 1; bar 5, beat 1."
    )
    # Lines that say otherwise are refused, with the first note in their way.
    give(desk, "Violin 1", 1)
    assert "Violin 1 cannot be pinned to" in desk.giving.told.text
    assert desk.history.present.given == ()
    send(desk.fixing.actions, press="free")
    give(desk, "Viola", 1)
    give(desk, "Cello", 2)
    for slot in (0, last):
        send(desk.sheet, choose=[slot, 0])
        send(desk.fixing.actions, press="fix")
    lock(desk, "3")
    held = desk.work.shown.pitches
    desk.sliders.values = {**desk.sliders.values, "spacing": 4, "motion": 4}
    after = desk.work.shown.pitches
    assert after != held != before
    kept = (0, 3, last)
    assert [after[slot] for slot in kept] == [held[slot] for slot in kept]
    assert all(one.pitches[0] == held[0] for one in desk.work.alternatives)
    assert [str(chord[3]) for chord in after[:4]] == ["C3", "F3", "G3", "C3"]
    assert all(60 <= chord[1].midi <= 67 for chord in after[4:])


def test_a_bar_in_which_a_line_is_foreign_to_its_chord_can_be_locked(
    with_tune: ProgressionDesk,
) -> None:
    desk = with_tune
    desk.entry.value = "C: I I | ii | I"
    send(desk.entry, submit=desk.entry.value)
    give(desk, "Viola", 1)
    assert str(desk.work.shown.pitches[1][2]) == "A4"  # in C, E, G
    lock(desk, "1")
    assert desk.history.present.locked == (1,)
    send(desk.giving.actions, press="free")
    assert desk.history.present.locked == ()


def test_a_register_holds_from_its_bar_on_is_kept_and_opened(desk: ProgressionDesk) -> None:
    send(desk.giving.register, submit="3 Violin 1=D5-G5, 3 Viola=A3-E4")
    tops = [
        (slot.bar, chord[0])
        for slot, chord in zip(desk.work.problem.progression, desk.work.shown.pitches, strict=True)
    ]
    assert all(pitch.midi >= Pitch.from_text("D5").midi for bar, pitch in tops if bar >= 3)
    assert "3 Viola=A3-E4" in desk.giving.told.text
    send(desk.keeping, keep="high")
    send(desk.giving.register, submit="")
    assert desk.history.present.later == ()
    send(desk.keeping, open="high")
    assert desk.history.present.later == ("3 Violin 1=D5-G5", "3 Viola=A3-E4")


@pytest.mark.parametrize("text", ["3 Viola", "3 Bassoon=C3-C4", "3 Viola=C5-C3"])
def test_a_register_that_cannot_be_read_changes_nothing(desk: ProgressionDesk, text: str) -> None:
    before = desk.history.present
    send(desk.giving.register, submit=text)
    assert desk.giving.register.message
    assert desk.history.present == before


def test_movement_is_asked_for_written_kept_and_taken_back(desk: ProgressionDesk) -> None:
    chords = len(desk.work.problem.progression)
    desk.giving.voice.value = "Viola"
    desk.giving.movement.value = "any of these"
    send(desk.giving.actions, press="move")
    assert "Viola is asked for passing or neighbour or suspension notes." in desk.giving.told.text
    notes = desk.player.tune["voices"][2]["notes"]
    assert len(notes) > chords
    assert any(Fraction(length) < 1 for _, length, _ in notes)
    send(desk.keeping, keep="moving")
    send(desk.giving.actions, press="free")
    assert desk.history.present.movement == ()
    send(desk.keeping, open="moving")
    assert desk.history.present.movement == (("Viola", ("passing", "neighbour", "suspension")),)


def test_without_a_score_the_line_is_asked_for(desk: ProgressionDesk) -> None:
    desk.giving.folded.fold.is_open = True
    send(desk.giving.actions, press="give")
    assert desk.giving.told.text.startswith("Put a score into")
    assert desk.history.present.given == ()


def test_the_rules_and_the_chords_are_priced(desk: ProgressionDesk) -> None:
    send(desk.ruling.actions, press="here")
    prices = price_here(desk.work.problem, desk.work.shown.weights)
    first = prices[0].words
    assert desk.ruling.lines.children[0].text == f"{first[0].upper()}{first[1:]}."
    assert desk.ruling.told.text.endswith("would save something; the dearest 12.")
    send(desk.ruling.actions, press="rules")
    dear = [one for one in price_rules(desk.work.problem) if one.saving >= 0.05]
    assert len(desk.ruling.lines.children) == len(dear)
    send(desk.sheet, pin=[1, 1])  # another question
    assert not desk.ruling.lines.children
    assert desk.ruling.told.text == ""


def test_prices_of_another_text_are_not_left_standing(desk: ProgressionDesk) -> None:
    send(desk.ruling.actions, press="here")
    desk.entry.value = "C: I"
    send(desk.entry, submit="C: I")
    assert not desk.ruling.lines.children
    send(desk.actions, press="undo")
    assert desk.entry.text == TEXT


def test_prices_not_worked_out_are_counted_apart() -> None:
    known, stopped = (RulePrice.of("a rule", "allowing it", saving, 9.0) for saving in (9.0, 0.0))
    assert tell_prices((known,))[0] == "1 would save something."
    both = tell_prices((known, stopped, stopped))
    assert both[0] == "1 would save something; not worked out to the end: 2."
    assert both[2] == "Allowing it saves 0 or more, and at most 9."
    assert tell_prices((stopped,))[0].startswith("Nothing known saves anything; not worked")
