"""Ways of writing (presets) at desk 1."""

from __future__ import annotations

import pytest

from harmony.voicings.api import voice
from harmony.voicings.presets import preset_names
from harmony.workbench.progression.opening import ENSEMBLE, TEXT
from harmony.workbench.progression.sliders import USUAL_MANNER, manner_labels
from harmony.workbench.progression.view import ProgressionDesk
from tests.unit.workbench.messages import send


def label_of(preset: str) -> str:
    return next(label for label, name in manner_labels().items() if name == preset)


def test_every_preset_can_be_chosen(desk: ProgressionDesk) -> None:
    assert set(manner_labels().values()) == {"", *preset_names()}
    assert desk.manner.options[0] == desk.manner.value == USUAL_MANNER


@pytest.mark.parametrize("preset", ["chorale", "parallel", "free"])
def test_a_way_of_writing_is_the_engine_s(desk: ProgressionDesk, preset: str) -> None:
    desk.manner.value = label_of(preset)
    best = voice(TEXT, ENSEMBLE, preset=preset).alternatives[0]
    assert desk.work.shown.pitches == best.pitches
    assert desk.work.shown.cost == pytest.approx(best.cost)
    assert desk.result.tone == ""


def test_it_is_undone_kept_and_opened(desk: ProgressionDesk) -> None:
    before = desk.work.shown.pitches
    desk.manner.value = label_of("brass")
    send(desk.keeping, keep="as brass")
    send(desk.actions, press="undo")
    assert desk.manner.value == USUAL_MANNER
    assert desk.work.shown.pitches == before
    send(desk.keeping, open="as brass")
    assert desk.manner.value == label_of("brass")
    assert desk.work.problem.preset.name == "brass"


def test_sliders_start_from_the_way_of_writing(desk: ProgressionDesk) -> None:
    desk.manner.value = label_of("free")
    desk.terms.values = {**desk.terms.values, "motion": 1}
    free = voice(TEXT, ENSEMBLE, preset="free").problem.preset
    assert desk.work.shown.weights["motion"] == pytest.approx(2 * free.weights["motion"])
