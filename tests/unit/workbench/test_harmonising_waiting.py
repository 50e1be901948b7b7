"""Asked again of a tune of many chords: the desk goes on meanwhile, Cancel leaves all as it is."""

from __future__ import annotations

import asyncio
import re

import pytest

from harmony.workbench.harmonising import waiting, work
from harmony.workbench.harmonising.view import WORKING, HarmonisingDesk
from tests.unit.workbench.messages import send


@pytest.fixture(autouse=True)
def every_tune_is_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(waiting, "LONG", 0)
    work._answer.cache_clear()  # what other tests have found is found again


def press(desk: HarmonisingDesk, name: str) -> None:
    send(desk.changing.nearness, press=name)


def test_without_a_loop_the_answer_is_there_at_once() -> None:
    desk = HarmonisingDesk()
    press(desk, "closer")
    assert desk.found.text.startswith("Closer to A: A is what A was.")


def test_the_answer_comes_when_it_is_found() -> None:
    async def ask() -> None:
        desk = HarmonisingDesk()
        before = desk.work
        press(desk, "less")
        assert desk.found.text == WORKING
        assert desk.work is before
        while desk.work is before:
            await asyncio.sleep(0.01)
        assert desk.found.text.startswith("Less like A: A is what A was.")
        assert desk.waiting.box.layout.display == "none"

    asyncio.run(asyncio.wait_for(ask(), 60))


def test_cancel_leaves_everything_as_it_was() -> None:
    async def ask() -> None:
        desk = HarmonisingDesk()
        before, told = desk.work, desk.found.text
        press(desk, "less")
        send(desk.waiting.cancel, press="cancel")
        assert desk.found.text == told
        # What was asked next is answered; nothing of what was given up comes after it.
        press(desk, "closer")
        while desk.work is before:
            await asyncio.sleep(0.01)
        assert desk.found.text.startswith("Closer to A: A is what A was.")
        assert len(desk.history.past) == 1

    asyncio.run(asyncio.wait_for(ask(), 60))


def test_a_first_search_tells_how_far_it_is_and_can_be_left() -> None:
    async def ask() -> None:
        desk = HarmonisingDesk()
        before, told = desk.work, desk.found.text
        desk.asking.source.value = "Lamps out"
        assert desk.found.text == WORKING
        assert desk.work is before
        while "found" not in desk.waiting.message.text:
            await asyncio.sleep(0.001)
        assert re.match(
            r"Harmonising: \d of 5 found \(common-practice\); Cancel", desk.waiting.message.text
        )
        send(desk.waiting.cancel, press="cancel")
        assert (desk.found.text, desk.asking.source.value) == (told, "Pattern drawer")
        desk.asking.source.value = "Shuttle"
        while desk.work is before:
            await asyncio.sleep(0.01)
        assert desk.work.choices.question.source == "Shuttle"
        assert desk.shelf.keeping.name == desk.work.theme.title
        assert len(desk.history.past) == 1

    asyncio.run(asyncio.wait_for(ask(), 60))


def test_another_alternative_of_a_long_tune_is_written_out_beside_the_desk() -> None:
    async def ask() -> None:
        desk = HarmonisingDesk()
        told, before = desk.found.text, desk.sheet.picture
        send(desk.offers, play="C")
        assert (desk.found.text, desk.work.number) == (WORKING, 0)
        while desk.work.number == 0:
            await asyncio.sleep(0.01)
        assert desk.work.number == 2
        assert desk.found.text == told
        assert desk.sheet.picture != before
        assert not desk.history.past

    asyncio.run(asyncio.wait_for(ask(), 60))


def test_steps_of_a_slider_are_one_change_however_long_they_take() -> None:
    async def ask() -> None:
        desk = HarmonisingDesk()
        before = desk.work
        desk.weights.stroke = 1
        for step in (1, 2, 3):
            desk.weights.values = {**desk.weights.values, "bass_line": step}
        while desk.work is before:
            await asyncio.sleep(0.01)
        assert dict(desk.work.choices.question.weights) == {"bass_line": 3}
        assert len(desk.history.past) == 1

    asyncio.run(asyncio.wait_for(ask(), 60))


def test_what_cannot_be_found_is_said_and_all_stays() -> None:
    async def ask() -> None:
        desk = HarmonisingDesk()
        before = desk.work
        desk.changing.here.put("99")
        press(desk, "here")
        while desk.found.text in ("", WORKING):
            await asyncio.sleep(0.01)
        assert "There are no bars 99 to 99" in desk.found.text
        assert desk.work is before

    asyncio.run(asyncio.wait_for(ask(), 60))
