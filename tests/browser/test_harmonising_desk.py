"""The harmonising desk in the real JupyterLab: seen, asked anew, heard, changed, kept."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Locator, Page, expect

from harmony.workbench.harmonising.grid import build_grid
from harmony.workbench.harmonising.state import Choices, Question
from harmony.workbench.harmonising.view import FIRST_THEME
from harmony.workbench.harmonising.work import do_work
from tests.browser.opening import open_desk, redraw
from tests.browser.serving import Served
from tests.browser.test_access import find_faults as find_barriers
from tests.published.musicxml_schema import faults as find_faults

pytestmark = [pytest.mark.browser, pytest.mark.timeout(300)]


@pytest.fixture(scope="module")
def own_page(served: Served) -> Iterator[Page]:
    with open_desk(served, "harmonising") as page:
        yield page


def ideas(page: Page) -> Locator:
    return page.locator(".hw-offer-words")


def figures(page: Page, row: int) -> list[str]:
    """The figures of an alternative, from left to right."""
    found = page.locator(f".hw-sheet [data-id^=f{row}-]")
    return [text.strip() for text in found.all_text_contents()]


def button(page: Page, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True)


def test_it_opens_with_the_tune_and_five_ideas_beneath_it(own_page: Page) -> None:
    assert own_page.locator(".hw-sheet .note[data-id^=n]").count() == 32
    expect(ideas(own_page)).to_have_count(5)
    rows = build_grid(do_work(Choices(Question(FIRST_THEME)))).rows
    for number, row in enumerate(rows):
        assert figures(own_page, number) == [cell.text for cell in row if cell is not None]
    assert len(rows) == 5
    expect(own_page.get_by_text(re.compile("^In E major; the next likely key is"))).to_be_visible()


def test_rows_are_aligned_with_the_tune_above_them(own_page: Page) -> None:
    first = own_page.locator(".hw-sheet [data-id=f0-0]").bounding_box()
    below = own_page.locator(".hw-sheet [data-id=f4-0]").bounding_box()
    note = own_page.locator(".hw-sheet [data-id=n0]").bounding_box()
    assert first
    assert below
    assert note
    assert abs(first["x"] - below["x"]) < 12
    assert abs(first["x"] - note["x"]) < 20
    assert note["y"] < first["y"] < below["y"]


def test_one_idea_follows_another_while_it_plays(own_page: Page) -> None:
    own_page.get_by_role("button", name=re.compile("^Play A:")).click()
    player = own_page.locator(".hw-player").first
    expect(player).to_have_attribute("data-playing", "true")
    own_page.wait_for_function("() => document.querySelector('.hw-player').soundLevel() > 0.0005")
    own_page.wait_for_function(
        "() => document.querySelector('.hw-sheet').shadowRoot.querySelectorAll('.hw-sounding').length > 0"
    )
    own_page.wait_for_function(
        "() => {const box = document.querySelector('.hw-sheet').shadowRoot.querySelector('.hw-sounding');"
        " const first = document.querySelector('.hw-sheet').shadowRoot.querySelector('[data-id=f0-1]');"
        " return box && box.getBBox().x > first.getBBox().x - 200;}"
    )
    redraw(own_page, own_page.get_by_role("button", name=re.compile("^Show C:")))
    expect(player).to_have_attribute("data-playing", "true")
    own_page.wait_for_function(
        "() => {const box = document.querySelector('.hw-sheet').shadowRoot.querySelector('.hw-sounding');"
        " const first = document.querySelector('.hw-sheet').shadowRoot.querySelector('[data-id=f0-1]');"
        " return box && box.getBBox().x > first.getBBox().x - 200;}"
    )
    own_page.wait_for_function("() => document.querySelector('.hw-player').soundLevel() > 0.0005")
    player.get_by_role("button", name="Stop").click()
    expect(player).to_have_attribute("data-playing", "false")
    redraw(own_page, own_page.get_by_role("button", name=re.compile("^Show A:")))


def test_another_idiom_is_asked_for(own_page: Page) -> None:
    before = figures(own_page, 0)
    own_page.get_by_label("Idioms", exact=True).select_option("third-relations")
    redraw(own_page, button(own_page, "Harmonise"))
    assert figures(own_page, 0) != before
    expect(ideas(own_page).first).to_contain_text("(third-relations)")
    redraw(own_page, button(own_page, "Undo"))
    assert figures(own_page, 0) == before


def test_a_figure_is_chosen_by_click_and_its_chord_fixed(own_page: Page) -> None:
    own_page.locator(".hw-sheet [data-id=f1-3]").click()
    expect(own_page.get_by_role("heading", name=re.compile("^B, bar [34], beat"))).to_be_visible()
    box = own_page.get_by_role("textbox", name="Chord at the chosen place")
    box.fill("vi")
    redraw(own_page, button(own_page, "Fix"))
    assert all(figures(own_page, row)[3] == "vi" for row in range(5))
    assert own_page.locator(".hw-pinned").count() == 5
    box.fill("Qx")
    button(own_page, "Fix").click()
    expect(own_page.get_by_text(re.compile("'Qx' is not a chord"))).to_be_visible()
    assert all(figures(own_page, row)[3] == "vi" for row in range(5))
    redraw(own_page, button(own_page, "Let go of all"))
    assert own_page.locator(".hw-pinned").count() == 0


def test_the_keys_alone_go_through_the_rows(own_page: Page) -> None:
    sheet = own_page.get_by_role("application", name=re.compile("^The tune, and under it"))
    sheet.focus()
    own_page.keyboard.press("Home")
    spoken = own_page.locator(".hw-score > [role=status]").first
    for _ in range(6):
        own_page.keyboard.press("ArrowUp")
    expect(spoken).to_have_text(re.compile("^Tune, bar 1, beat 1: G sharp 4"))
    own_page.keyboard.press("ArrowDown")
    expect(spoken).to_have_text(re.compile("^A, bar 1, beat 1: "))
    own_page.keyboard.press("ArrowDown")
    expect(spoken).to_have_text(re.compile("^B, bar 1, beat 1: "))
    own_page.keyboard.press("ArrowRight")
    expect(spoken).to_have_text(re.compile("^B, bar 2, beat 1: "))


def test_two_ideas_are_joined(own_page: Page) -> None:
    own_page.get_by_role("combobox", name="Bars of").select_option("B")
    own_page.get_by_role("combobox", name="before bar").select_option("9")
    own_page.get_by_role("combobox", name="joined to").select_option("C")
    redraw(own_page, button(own_page, "Join"))
    expect(ideas(own_page)).to_have_count(6)
    expect(ideas(own_page).last).to_contain_text("to bar 8")
    redraw(own_page, button(own_page, "Undo"))
    expect(ideas(own_page)).to_have_count(5)


def test_bad_keys_are_refused_beside_the_box(own_page: Page) -> None:
    key = own_page.get_by_role("textbox", name=re.compile("^Key"))
    key.fill("H")
    button(own_page, "Harmonise").click()
    expect(own_page.get_by_text(re.compile("'H' is not a key"))).to_be_visible()
    expect(ideas(own_page)).to_have_count(5)
    key.fill("")
    button(own_page, "Harmonise").click()
    expect(own_page.get_by_text(re.compile("'H' is not a key"))).to_have_count(0)


def test_what_is_shown_is_kept_and_carried(own_page: Page, served: Served) -> None:
    own_page.get_by_role("textbox", name="Name", exact=True).fill("drawer")
    button(own_page, "Keep").click()
    expect(own_page.get_by_text(re.compile("Kept as drawer.musicxml"))).to_be_visible()
    assert find_faults((served.folder / "drawer.musicxml").read_bytes()) == []
    assert (served.folder / "drawer.json").exists()
    button(own_page, "Carry to desk 1").click()
    expect(own_page.get_by_text(re.compile("at desk 1 choose"))).to_be_visible()


def test_no_rule_of_access_is_broken(own_page: Page) -> None:
    assert find_barriers(own_page) == []


def test_nothing_complained(served: Served, own_page: Page) -> None:
    assert served.faults == []
