"""The spacing view on desk 1: followed, heard, saved, steered by, and refused in a sentence."""

from __future__ import annotations

import re
import struct
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from playwright.sync_api import Locator, expect

from harmony.acoustics.api import spacing
from harmony.workbench.spacing.view import TITLE
from tests.browser.desk import Desk
from tests.browser.listening import sound_level, wait_for_silence, wait_for_sound

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

SERIES_CHORD = "{C2 G2 E3 C4 G4 E5}"


def view(desk: Desk) -> Locator:
    return desk.page.locator(".hw-spacing")


def told(desk: Desk) -> Locator:
    return desk.page.locator(".hw-folded:has(> .hw-spacing) > .hw-message p")


def voice_series_chord(desk: Desk) -> None:
    desk.voice("C: I")
    desk.redraws(lambda: desk.ensemble.select_option("clarinet choir"))
    desk.voice(SERIES_CHORD)


def choose_first_note(desk: Desk) -> None:
    desk.sheet.focus()
    desk.page.keyboard.press("Home")
    expect(view(desk).get_by_role("heading", name=re.compile("^Bar 1, beat 1"))).to_be_visible()


def test_it_stands_open_and_shows_a_chord(desk: Desk) -> None:
    expect(desk.button(TITLE)).to_have_attribute("aria-expanded", "true")
    picture = view(desk).get_by_role("img").nth(1)
    expect(picture).to_be_visible()
    for heading in ("Acoustic fundamental", "Theoretical root", "Roughness", "Low intervals"):
        expect(view(desk).get_by_role("term").filter(has_text=heading)).to_be_visible()
    expect(view(desk).get_by_role("img").first).to_have_attribute(
        "aria-label", re.compile("^In the course of the progression: roughness from")
    )


def test_the_fold_closes_and_opens(desk: Desk) -> None:
    desk.button(TITLE).click()
    expect(view(desk)).to_be_hidden()
    desk.button(TITLE).click()
    expect(view(desk)).to_be_visible()


def test_it_follows_the_chosen_chord(desk: Desk) -> None:
    choose_first_note(desk)
    desk.page.keyboard.press("ArrowRight")
    heading = view(desk).get_by_role("heading", name=re.compile("^Bar 2, beat 1: VII6, E3"))
    expect(heading).to_be_visible()


def test_it_follows_the_sliders(desk: Desk) -> None:
    choose_first_note(desk)
    desk.page.keyboard.press("End")
    heading = view(desk).get_by_role("heading", name=re.compile("^Bar 8"))
    expect(heading).to_be_visible()
    before = heading.inner_text()
    slider = desk.slider("Spacing").first
    slider.focus()
    for _ in range(4):
        desk.redraws(lambda: slider.press("ArrowRight"))
    expect(heading).not_to_have_text(before)
    notes = re.search(r": \w+, (.*)$", heading.inner_text())[1].replace("♯", "#").replace("♭", "b")
    found = spacing(notes)
    picture = view(desk).get_by_role("img").nth(1)
    expect(picture).to_have_attribute(
        "aria-label", re.compile(f"against the series of {found.fundamental}:")
    )


def test_a_chord_spaced_like_the_series(desk: Desk) -> None:
    voice_series_chord(desk)
    expect(view(desk).get_by_text(re.compile(r"^C1, 32\.7 Hz, explains"))).to_be_visible()
    picture = view(desk).get_by_role("img").first
    expect(picture).to_have_attribute(
        "aria-label", re.compile(r"E3 at partial 5, 14 cents high.*G4 at partial 12, 2 cents low")
    )


def test_it_is_heard_tempered_and_pure(desk: Desk) -> None:
    """E3 of C major: 164.81 Hz tempered, 163.52 Hz pure (5/4)."""
    voice_series_chord(desk)
    desk.page.get_by_label("Level of these tones").fill("60")
    for label in (
        "Hear it in equal temperament",
        "Hear it tuned pure",
        "Hear the series to partial 16",
    ):
        desk.button(label).click()
        wait_for_sound(desk.page, above=0.002)
        # C2 is there; a tritone below nothing is.
        desk.page.wait_for_function("() => window.soundAt(65.41) > window.soundAt(46.2) + 15")
        desk.button("Silence").click()
        wait_for_silence(desk.page)
    expect(desk.button("Silence")).to_be_disabled()
    expect(desk.page.get_by_text(re.compile("Raise the level with care")).nth(1)).to_be_visible()


def test_the_level_begins_quiet(desk: Desk) -> None:
    desk.page.get_by_label("Level of these tones").fill("20")
    desk.button("Hear it in equal temperament").click()
    wait_for_sound(desk.page)
    assert sound_level(desk.page) < 0.05
    desk.button("Silence").click()


def test_the_picture_is_saved_as_svg_and_png(desk: Desk, tmp_path: Path) -> None:
    with desk.page.expect_download() as download:
        desk.button("Save the picture as SVG").click()
    saved = tmp_path / "picture.svg"
    download.value.save_as(saved)
    assert download.value.suggested_filename.endswith(".svg")
    drawn = ET.parse(saved).getroot()
    assert drawn.get("color") == "#000"
    assert any(
        "Partials of" in (text.text or "")
        for text in drawn.iter("{http://www.w3.org/2000/svg}text")
    )
    with desk.page.expect_download() as download:
        desk.button("Save the picture as PNG").click()
    saved = tmp_path / "picture.png"
    download.value.save_as(saved)
    data = saved.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    assert width > 2000
    assert height > 1000
    assert len(data) > 20_000  # something is drawn


def test_a_chord_is_spread_and_taken_back(desk: Desk) -> None:
    choose_first_note(desk)
    for _ in range(3):
        desk.page.keyboard.press("ArrowDown")
    desk.rests()
    desk.redraws(lambda: desk.button("Spread it like the series from here up").click())
    expect(told(desk)).to_have_text(
        re.compile("^Spread like the series from .* Undo takes them back")
    )
    expect(desk.pinned_boxes()).to_have_count(4)
    desk.redraws(lambda: desk.button("Undo").click())
    expect(desk.pinned_boxes()).to_have_count(0)
    expect(told(desk)).to_have_text("")


def test_least_and_most_rough(desk: Desk) -> None:
    choose_first_note(desk)
    values = []
    for label in ("Least rough between its outer notes", "Most rough between its outer notes"):
        desk.button(label).click()
        expect(told(desk)).to_have_text(re.compile(f"^{label.split(' between')[0]} between"))
        values.append(float(re.search(r"roughness ([0-9.]+),", told(desk).inner_text())[1]))
    assert values[0] <= values[1]


def test_a_fundamental_is_chosen_or_refused(desk: Desk) -> None:
    choose_first_note(desk)
    box = desk.page.get_by_role("textbox", name=re.compile("^Fundamental"))
    box.fill("Bb0")
    box.press("Enter")
    picture = view(desk).get_by_role("img").nth(1)
    expect(picture).to_have_attribute("aria-label", re.compile("against the series of Bb0:"))
    box.fill("C7")
    sentence = desk.refuses(lambda: desk.button("Show its partials").click())
    assert sentence.startswith("The fundamental C7 lies above the lowest note")
    box.fill("")
    box.press("Enter")
    expect(picture).not_to_have_attribute("aria-label", re.compile("of Bb0:"))


def test_players_are_compared_and_a_doubling_weighed(desk: Desk) -> None:
    desk.button("Compare them").click()
    expect(told(desk)).to_have_text(re.compile("^By horn quartet instead of string quartet"))
    desk.page.get_by_role("combobox", name="Where").select_option("two octaves above")
    desk.button("Say what it adds").click()
    expect(told(desk)).to_have_text(re.compile("doubled two octaves above, by the same players"))


def test_one_note_is_told_in_a_sentence(desk: Desk) -> None:
    desk.voice("{C4}")
    expect(view(desk).get_by_text("One note (C4) has no spacing")).to_be_visible()
    expect(desk.button("Hear it tuned pure")).to_be_disabled()
