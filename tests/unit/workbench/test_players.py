"""Registers and loudness by player at desk 1."""

from __future__ import annotations

import pytest

from harmony.pitch.spelling import Pitch
from harmony.voicings.api import voice
from harmony.workbench.progression.ensembles import EnsembleChoice
from harmony.workbench.progression.opening import ENSEMBLE, TEXT
from harmony.workbench.progression.view import ProgressionDesk
from tests.unit.workbench.messages import send


def test_a_register_is_kept_to_and_taken_back(desk: ProgressionDesk) -> None:
    before = desk.work.shown.pitches
    send(desk.details.players, register=["Violin 1", "G3", "C5"])
    top = [chord[0].midi for chord in desk.work.shown.pitches]
    assert max(top) <= Pitch.from_text("C5").midi
    best = voice(TEXT, ENSEMBLE, registers={"Violin 1": "G3-C5"}).alternatives[0]
    assert desk.work.shown.pitches == best.pitches
    assert desk.details.players.items[0]["usual"] == "usually G3 to E6"
    send(desk.actions, press="undo")
    assert desk.work.shown.pitches == before
    assert desk.details.players.items[0]["usual"] == ""


def test_an_empty_box_is_the_usual_note(desk: ProgressionDesk) -> None:
    send(desk.details.players, register=["Cello", "E2", "A3"])
    send(desk.details.players, register=["Cello", "", ""])
    assert desk.history.present.registers == ()
    assert (desk.details.players.items[3]["low"], desk.details.players.items[3]["high"]) == (
        "C2",
        "A4",
    )


def test_pins_out_of_a_new_register_are_lifted_and_told(desk: ProgressionDesk) -> None:
    send(desk.sheet, pin=[0, 0])
    assert len(desk.history.present.pins) == 1
    send(desk.details.players, register=["Violin 1", "G3", "C5"])
    assert desk.history.present.pins == ()
    assert desk.details.players.message.startswith("1 pin was lifted")


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        ("H3", "C5", "'H3' in the register of Viola is not a note; names such as C3 are accepted."),
        ("C5", "C3", "The register of Viola goes up from C5 to C3, which is lower"),
        ("E5", "E5", "No voicing of"),
    ],
)
def test_a_register_that_cannot_be_is_refused(
    desk: ProgressionDesk, low: str, high: str, said: str
) -> None:
    before = desk.work.shown.pitches
    send(desk.details.players, register=["Viola", low, high])
    assert desk.details.players.message.startswith(said)
    assert desk.details.players.tone == "fault"
    assert desk.work.shown.pitches == before
    assert desk.history.present.registers == ()


def test_a_refused_register_is_told_until_something_else_is_set(desk: ProgressionDesk) -> None:
    send(desk.details.players, register=["Viola", "H3", "C5"])
    assert desk.details.players.message.startswith("'H3'")
    send(desk.details.players, loudness=["Viola", -6])
    assert desk.details.players.message == ""
    assert desk.details.players.tone == ""


def test_loudness_changes_playback_alone(desk: ProgressionDesk) -> None:
    before, pitches = desk.player.tune["voices"][2]["loudness"], desk.work.shown.pitches
    send(desk.details.players, loudness=["Viola", -6])
    after = desk.player.tune["voices"]
    assert after[2]["loudness"] == pytest.approx(before * 10 ** (-6 / 20))
    assert after[1]["loudness"] == pytest.approx(before)
    assert desk.work.shown.pitches == pitches
    send(desk.actions, press="undo")
    assert desk.player.tune["voices"][2]["loudness"] == pytest.approx(before)


def test_both_come_back_with_a_keep(desk: ProgressionDesk) -> None:
    send(desk.details.players, register=["Viola", "C3", "C5"])
    send(desk.details.players, loudness=["Cello", 3])
    kept = desk.history.present
    send(desk.keeping, keep="quiet viola")
    send(desk.details.players, register=["Viola", "", ""])
    send(desk.keeping, open="quiet viola")
    assert desk.history.present.registers == kept.registers
    assert desk.history.present.loudness == kept.loudness


def test_other_players_have_registers_of_their_own(desk: ProgressionDesk) -> None:
    send(desk.details.players, register=["Viola", "C3", "C5"])
    desk.ensemble.value = "SATB choir"
    assert desk.history.present.registers == ()
    assert [item["name"] for item in desk.details.players.items] == [
        "Soprano",
        "Alto",
        "Tenor",
        "Bass",
    ]


def test_another_ensemble_joins_the_first_and_leaves_again(desk: ProgressionDesk) -> None:
    voice_one(desk, "D: I | V | I")
    desk.ensemble.second.value = "trombones and tuba"
    assert desk.history.present.ensemble == "string quartet + trombones and tuba"
    names = [item["name"] for item in desk.details.players.items]
    assert len(names) == 8
    assert len(set(names)) == 8
    assert len(desk.work.shown.pitches[0]) == 8
    send(desk.actions, press="undo")
    assert desk.history.present.ensemble == "string quartet"
    assert desk.ensemble.second.value == "no others"
    send(desk.actions, press="redo")
    assert desk.ensemble.value == "string quartet + trombones and tuba"
    assert desk.ensemble.second.value == "trombones and tuba"


def test_an_ensemble_of_the_composer_s_own_stands_in_the_list() -> None:
    choice = EnsembleChoice("players.toml")
    told: list[str] = []
    choice.on_change(told.append)
    assert choice.value == "players.toml"
    choice.value = "horn quartet + brass quintet"
    assert (choice.first.value, choice.second.value) == ("horn quartet", "brass quintet")
    assert told == ["horn quartet + brass quintet"]


def voice_one(desk: ProgressionDesk, text: str) -> None:
    send(desk.entry, submit=text)
