"""The harmonising desk in the real JupyterLab: seen, asked anew, heard, changed, kept."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial

import pytest
from playwright.sync_api import FloatRect, Locator, Page, expect

from harmony.workbench.harmonising.grid import build_grid
from harmony.workbench.harmonising.state import Choices, Question
from harmony.workbench.harmonising.view import FIRST_THEME
from harmony.workbench.harmonising.work import do_work
from tests.browser.listening import wait_for_sound
from tests.browser.opening import open_desk, redraw, redraw_by, undo_everything
from tests.browser.serving import Served
from tests.browser.test_access import find_faults as find_barriers
from tests.published.musicxml_schema import faults as find_faults

BEYOND_THE_FIRST_BAR = """() => {
    const picture = document.querySelector('.hw-sheet').shadowRoot;
    const ring = picture.querySelector('.hw-sounding');
    const second = picture.querySelector('[data-id=f0-1]');
    return ring && ring.getBBox().x > second.getBBox().x - 200;
}"""

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


def tune_notes(page: Page) -> Locator:
    return page.locator(".hw-sheet").first.locator(".note[data-id^=n]")


def button(page: Page, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True)


def test_it_opens_with_the_tune_and_five_ideas_beneath_it(own_page: Page) -> None:
    assert tune_notes(own_page).count() == 32
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
    wait_for_sound(own_page)
    expect(own_page.locator(".hw-sheet .hw-sounding").first).to_be_attached()
    own_page.wait_for_function(BEYOND_THE_FIRST_BAR)
    redraw(own_page, own_page.get_by_role("button", name=re.compile("^Show C:")))
    expect(player).to_have_attribute("data-playing", "true")
    own_page.wait_for_function(BEYOND_THE_FIRST_BAR)
    wait_for_sound(own_page)
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
    # An idea may hold a pedal through it: vi over E.
    assert all(figures(own_page, row)[3].split()[0] == "vi" for row in range(5))
    assert own_page.locator(".hw-pinned").count() == 5
    box.fill("Qx")
    button(own_page, "Fix").click()
    expect(own_page.get_by_text(re.compile("'Qx' is not a chord"))).to_be_visible()
    assert all(figures(own_page, row)[3].split()[0] == "vi" for row in range(5))
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
    expect(own_page.get_by_role("heading", name=re.compile("^B, bar 2, beat 1"))).to_be_visible()


def rhythm(page: Page) -> Locator:
    return page.get_by_role("application", name=re.compile("^Harmonic rhythm"))


def box_of(locator: Locator) -> FloatRect:
    expect(locator).to_be_visible()
    box = locator.bounding_box()
    assert box is not None
    return box


def press_keys(page: Page, *keys: str) -> None:
    """Press keys in the line of the harmonic rhythm, each answered by another notation."""
    for key in keys:
        redraw_by(page, partial(rhythm(page).press, key))


def test_a_beginning_is_dragged_along_the_tune(own_page: Page) -> None:
    told = rhythm(own_page).get_by_role("status")
    # The notation is taller than the window: its first line is what must be seen.
    own_page.locator(".hw-sheet [data-id=n3]").scroll_into_view_if_needed()
    held = box_of(own_page.locator("[data-grip='1']"))
    there = box_of(own_page.locator(".hw-sheet [data-id=n3]"))  # bar 2, beat 1
    later = box_of(own_page.locator(".hw-sheet [data-id=n4]"))  # bar 2, beat 3
    y = held["y"] + held["height"] / 2
    own_page.mouse.move(held["x"] + held["width"] / 2, y)
    own_page.mouse.down()
    own_page.mouse.move((there["x"] + later["x"]) / 2, y, steps=4)
    own_page.mouse.move(later["x"], y, steps=4)
    redraw_by(own_page, own_page.mouse.up)
    expect(told).to_have_text("One chord from bar 2, beat 3 to bar 3, beat 1")
    redraw(own_page, button(own_page, "Undo"))


def test_the_harmonic_rhythm_is_changed_by_keys_alone(own_page: Page) -> None:
    told = rhythm(own_page).get_by_role("status")
    rhythm(own_page).press("Home")
    expect(told).to_have_text("One chord from bar 1, beat 1 to bar 2, beat 1")
    rhythm(own_page).press("ArrowRight")
    expect(told).to_have_text("One chord from bar 2, beat 1 to bar 3, beat 1")
    press_keys(own_page, "Enter")
    expect(told).to_have_text("One chord from bar 2, beat 1 to bar 2, beat 3")
    press_keys(own_page, "Shift+ArrowLeft")
    expect(told).to_have_text("One chord from bar 1, beat 3.5 to bar 2, beat 3")
    press_keys(own_page, "Space")
    expect(told).to_have_text(re.compile("to bar 2, beat 3, locked$"))
    rhythm(own_page).press("Delete")
    expect(own_page.get_by_text(re.compile("is locked; unlock it first"))).to_be_visible()
    press_keys(own_page, "Space", "Delete")
    expect(told).to_have_text("One chord from bar 1, beat 1 to bar 2, beat 3")
    undo_everything(own_page)


def test_the_tune_is_read_anew_as_the_composer_says(own_page: Page) -> None:
    own_page.get_by_role("button", name="The tune: phrases and repetitions").click()
    tune = own_page.get_by_role("application", name=re.compile("^The tune as it is read"))
    tune.focus()
    own_page.keyboard.press("Home")
    for _ in range(7):
        own_page.keyboard.press("ArrowRight")
    expect(own_page.get_by_text(re.compile("^Bar 4, beat 1: .* a phrase ends"))).to_have_count(2)
    own_page.keyboard.press("Enter")
    expect(own_page.get_by_text(re.compile("3 phrases, ending in bars 8, 12, 16"))).to_be_visible()
    button(own_page, "Phrases as found").click()
    expect(own_page.get_by_text(re.compile("4 phrases, ending in bars 4, 8"))).to_be_visible()
    own_page.get_by_role("checkbox", name=re.compile("^Sequence 2: Bar 2 comes again")).uncheck()
    expect(own_page.get_by_text(re.compile("A sequence begins in bars 1 and 9"))).to_be_visible()
    again = own_page.get_by_role("textbox", name=re.compile("^Bars that come again"))
    again.fill("1 in 4")
    button(own_page, "Add").click()
    expect(own_page.get_by_text(re.compile("bar 4 do not copy"))).to_be_visible()
    button(own_page, "Repetitions as found").click()
    expect(own_page.get_by_text(re.compile("A sequence begins in bars 1, 2 and 9"))).to_be_visible()
    assert find_barriers(own_page) == []
    own_page.get_by_role("button", name="The tune: phrases and repetitions").click()


def test_a_score_put_into_the_folder_is_there_to_be_chosen(own_page: Page, served: Served) -> None:
    (served.folder / "brought.abc").write_text("X:1\nT:Brought\nM:4/4\nL:1/4\nK:C\nc d e f|g4|\n")
    theme = own_page.get_by_label("Theme", exact=True)
    theme.hover()
    expect(theme.locator("option", has_text="brought.abc")).to_have_count(1)
    redraw_by(own_page, partial(theme.select_option, "brought.abc"))
    expect(tune_notes(own_page)).to_have_count(5)
    undo_everything(own_page)


def test_a_melody_is_typed_and_bars_of_it_are_chosen(own_page: Page) -> None:
    own_page.get_by_role("button", name="Write a melody").click()
    box = own_page.get_by_role("textbox", name="Melody in ABC")
    box.fill("T:Ford\nM:3/4\nL:1/4\nG A B|")
    button(own_page, "Take it as the tune").first.click()
    expect(own_page.get_by_text(re.compile("The melody has no key"))).to_be_visible()
    box.fill("T:Ford\nM:3/4\nL:1/4\nK:G\nG A B|c2 A|G2 F|G3|B c d|e2 c|B2 A|G3|")
    redraw(own_page, button(own_page, "Take it as the tune").first)
    expect(own_page.get_by_label("Theme", exact=True)).to_have_value("Ford.musicxml")
    expect(tune_notes(own_page)).to_have_count(16)
    bars = own_page.get_by_role("textbox", name="Bars (empty: all)")
    bars.fill("5-9")
    button(own_page, "Harmonise").click()
    expect(own_page.get_by_text(re.compile("There is no bar 9"))).to_be_visible()
    bars.fill("5-8")
    redraw(own_page, button(own_page, "Harmonise"))
    expect(tune_notes(own_page)).to_have_count(8)
    undo_everything(own_page)
    own_page.get_by_role("button", name="Write a melody").click()


def test_two_ideas_are_joined(own_page: Page) -> None:
    own_page.get_by_role("combobox", name="Bars of").select_option("B")
    own_page.get_by_role("combobox", name="before bar").select_option("9")
    own_page.get_by_role("combobox", name="joined to").select_option("C")
    redraw(own_page, button(own_page, "Join"))
    expect(ideas(own_page)).to_have_count(6)
    expect(ideas(own_page).last).to_contain_text("to bar 8")
    redraw(own_page, button(own_page, "Undo"))
    expect(ideas(own_page)).to_have_count(5)


def test_an_idea_is_asked_for_again_closer_or_in_some_bars_only(own_page: Page) -> None:
    own_page.get_by_role("button", name=re.compile("^Show B:")).click()
    expect(button(own_page, "Closer to B")).to_be_visible()
    before = figures(own_page, 1)
    redraw(own_page, button(own_page, "Closer to B"))
    expect(own_page.get_by_text(re.compile("^Closer to B: A is what B was"))).to_be_visible()
    expect(ideas(own_page).nth(1)).to_contain_text("of the tune than in A")
    redraw(own_page, button(own_page, "Undo"))
    expect(button(own_page, "Closer to B")).to_be_visible()
    own_page.get_by_role("textbox", name="Here: bars").fill("x")
    button(own_page, "Other chords here only").click()
    expect(own_page.get_by_text(re.compile("'x' is not a stretch of bars"))).to_be_visible()
    own_page.get_by_role("textbox", name="Here: bars").fill("5-6")
    redraw(own_page, button(own_page, "Other chords here only"))
    expect(ideas(own_page).nth(1)).to_contain_text("A with other chords in bars 5 to 6 only")
    redraw(own_page, button(own_page, "Undo"))
    assert figures(own_page, 1) == before


def test_a_cost_counts_more_and_every_step_of_one_stroke_is_one_change(own_page: Page) -> None:
    own_page.get_by_text("What counts", exact=True).click()
    slider = own_page.get_by_role("slider", name="Melody fit")
    before = [figures(own_page, row) for row in range(5)]
    redraw_by(own_page, partial(slider.press, "End"))
    assert slider.get_attribute("aria-valuetext") == "\u00d7 16"
    own_page.wait_for_function(
        "() => !document.querySelector('.hw-offer-words').textContent.includes('; 9 notes')"
    )
    assert [figures(own_page, row) for row in range(5)] != before
    assert find_barriers(own_page) == []
    undo_everything(own_page)
    expect(slider).to_have_attribute("aria-valuetext", "as usual")
    assert [figures(own_page, row) for row in range(5)] == before
    own_page.get_by_text("What counts", exact=True).click()


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
    own_page.get_by_label("Carried for", exact=True).select_option("SATB choir")
    own_page.get_by_label("The tune in", exact=True).select_option("Alto")
    button(own_page, "Carry to desk 1").click()
    expect(own_page.get_by_text(re.compile("at desk 1 choose"))).to_contain_text("tune in Alto")
    assert find_faults((served.folder / "drawer for SATB choir.musicxml").read_bytes()) == []


def test_no_rule_of_access_is_broken(own_page: Page) -> None:
    assert find_barriers(own_page) == []


def test_nothing_complained(served: Served, own_page: Page) -> None:
    assert served.faults == []
