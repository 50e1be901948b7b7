"""What is set less often at desk 1, by hand: registers, loudness, names of chords."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, expect

from tests.browser.desk import Desk

pytestmark = [pytest.mark.browser, pytest.mark.timeout(300)]

PEN = 60  # screen pixels at most between the two notes of a register


@pytest.fixture
def players(desk: Desk) -> Locator:
    found = desk.page.locator(".hw-players")
    if not found.get_by_label("Viola, lowest note").is_visible():
        desk.page.get_by_text("Registers and loudness by player").click()
    expect(found.get_by_label("Viola, lowest note")).to_be_visible()
    return found


def test_a_register_is_narrowed_refused_and_taken_back(desk: Desk, players: Locator) -> None:
    low, high = (players.get_by_label(f"Viola, {end} note") for end in ("lowest", "highest"))
    boxes = [box.bounding_box() for box in (low, high)]
    assert boxes[0] is not None
    assert boxes[1] is not None
    assert 0 < boxes[1]["x"] - boxes[0]["x"] - boxes[0]["width"] < PEN  # they are read together
    before = desk.total()
    high.fill("F4")
    desk.redraws(lambda: high.press("Enter"))
    expect(players.get_by_text("usually C3 to E5")).to_be_visible()
    assert desk.total() > before  # the viola had a G4
    high.fill("H4")
    assert "'H4' in the register of Viola is not a note" in desk.refuses(
        lambda: high.press("Enter")
    )
    desk.redraws(lambda: desk.button("Undo").click())
    assert desk.total() == before


def test_one_player_is_made_softer_in_playback_alone(desk: Desk, players: Locator) -> None:
    before = desk.total()
    slider = players.get_by_role("slider", name="Loudness of Cello")
    slider.focus()
    desk.redraws(lambda: slider.press("ArrowLeft"))
    expect(players.get_by_text("3 dB softer")).to_be_visible()
    expect(slider).to_be_focused()
    assert desk.total() == before


def test_chord_names_are_hidden_or_changed(desk: Desk) -> None:
    def drawn() -> list[str]:
        return [" ".join(text.split()) for text in desk.sheet.locator(".harm").all_text_contents()]

    shown = drawn()
    desk.redraws(lambda: desk.page.get_by_label("Chord names").select_option("hidden"))
    assert drawn() == []
    desk.redraws(lambda: desk.page.get_by_label("Chord names").select_option("shown"))
    assert drawn() == shown
    desk.sheet.focus()
    desk.page.keyboard.press("Home")
    name = desk.page.get_by_label(re.compile("^Name of the chosen chord"))
    name.fill("dusk")
    desk.redraws(lambda: name.press("Enter"))
    assert "dusk" in drawn()
    desk.redraws(lambda: desk.button("Undo").click())
    assert drawn() == shown
