"""The theme desk in the real JupyterLab: seen, opened, mended, heard, kept."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.listening import wait_for_sound
from tests.browser.opening import open_desk
from tests.browser.serving import Served
from tests.browser.test_access import find_faults as find_barriers
from tests.published.musicxml_schema import faults as find_faults

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def theme_page(served: Served) -> Iterator[Page]:
    with open_desk(served, "theme") as page:
        told = page.locator(".hw-message", has_text=re.compile("^From G4 to E5"))
        expect(told.first).to_be_visible()
        yield page


def offers(page: Page) -> list[str]:
    return page.locator(".hw-offer-words").all_inner_texts()


def test_it_opens_with_the_tune_and_five_possibilities(theme_page: Page) -> None:
    assert len(offers(theme_page)) == 5
    assert (
        "Answers itself at the fifth below, 1 bar later, without a fault." in offers(theme_page)[0]
    )
    assert theme_page.locator(".hw-offer-picture g.note").count() > 20
    expect(theme_page.locator(".hw-score").first.locator("g.note")).to_have_count(45)


def test_each_possibility_plays_and_is_heard(theme_page: Page) -> None:
    theme_page.get_by_role("button", name=re.compile("^Play C:")).click()
    player = theme_page.locator(".hw-player").nth(1)
    expect(player).to_have_attribute("data-playing", "true")
    wait_for_sound(theme_page)
    player.get_by_role("button", name="Stop").click()
    expect(player).to_have_attribute("data-playing", "false")


def test_a_place_of_the_chart_opens_its_canon_and_one_note_mends_it(theme_page: Page) -> None:
    theme_page.get_by_role("combobox", name="Judged").select_option("strict")
    # By the strict judge the first canon holds for five bars: the chart is the new one now.
    expect(offers_locator(theme_page).first).to_contain_text("holding for more than 5 bars")
    place = theme_page.get_by_role("button", name=re.compile("^5th below, 4 beats later"))
    place.click()
    expect(theme_page.get_by_text("What is wrong in it")).to_be_visible()
    expect(
        theme_page.get_by_text(re.compile("bar 7 beat 1.5: perfect fourth E4-A4"))
    ).to_be_visible()
    mend = theme_page.get_by_role("button", name=re.compile("A4 becomes G4"))
    mend.click()
    expect(theme_page.get_by_text(re.compile("A4 becomes G4. From G4"))).to_be_visible()
    expect(offers_locator(theme_page).first).to_contain_text("without a fault")
    theme_page.get_by_role("button", name="Undo", exact=True).click()
    expect(theme_page.get_by_text(re.compile("^From G4"))).to_be_visible()


def offers_locator(page: Page):
    return page.locator(".hw-offer-words")


def test_an_operation_is_done_and_a_bad_one_is_refused_beside_the_box(theme_page: Page) -> None:
    box = theme_page.get_by_role("textbox", name="Do to the theme")
    box.fill("retrogrde")
    theme_page.get_by_role("button", name="Do it").click()
    expect(theme_page.get_by_text(re.compile("did you mean 'retrograde'"))).to_be_visible()
    box.fill("diatonic inversion about D5")
    box.press("Enter")
    expect(
        theme_page.get_by_text(re.compile("diatonic inversion about D5\\. From"))
    ).to_be_visible()
    expect(theme_page.get_by_text("The original, Shuttle:")).to_be_visible()
    expect(theme_page.locator(".hw-score")).to_have_count(3)
    expect(theme_page.locator(".hw-score").nth(1).locator("g.note")).to_have_count(45)
    theme_page.get_by_role("button", name="Undo", exact=True).click()
    expect(theme_page.get_by_text(re.compile("^From G4"))).to_be_visible()


def look_for(page: Page, kind: str) -> None:
    page.get_by_role("combobox", name="Look for", exact=True).select_option(kind)
    page.get_by_role("button", name="Look for it").click()
    expect(page.get_by_role("heading", name=f"Found: {kind}")).to_be_visible()


def test_continuations_are_found_heard_and_made_the_theme(theme_page: Page) -> None:
    theme_page.get_by_role("combobox", name="Closing degree").select_option("5")
    look_for(theme_page, "continuations")
    found = theme_page.get_by_role("button", name=re.compile(r"^Show [1-6]: The first 4 bars"))
    expect(found).to_have_count(6)
    theme_page.get_by_role("button", name=re.compile("^Play 2:")).click()
    player = theme_page.locator(".hw-player").nth(1)
    expect(player).to_have_attribute("data-playing", "true")
    player.get_by_role("button", name="Stop").click()
    theme_page.get_by_role("button", name="Make it the theme").click()
    expect(
        theme_page.get_by_text(re.compile("^Shuttle, continuation after 4 bars for"))
    ).to_be_visible()
    undo = theme_page.get_by_role("button", name="Undo", exact=True)
    undo.click()
    expect(theme_page.get_by_text(re.compile("^From G4"))).to_be_visible()
    expect(found).to_have_count(6)


def test_where_no_canon_goes_well_enough_the_nearest_is_shown(theme_page: Page) -> None:
    themes = theme_page.get_by_role("combobox", name="Theme", exact=True)
    themes.select_option("Night shift")
    expect(theme_page.get_by_text(re.compile("^From G4 to D6"))).to_be_visible()
    look_for(theme_page, "canons in more voices")
    found = theme_page.get_by_role("button", name=re.compile("^Show 1: No canon in 3 voices"))
    expect(found).to_have_count(1)
    wrong = theme_page.get_by_text(re.compile(r"^bar \d+ beat \d+ 2/3: "))
    expect(wrong.first).to_be_visible()
    # one card alone is as wide as one of several
    theme_page.wait_for_function(
        "() => { const [first, ...more] = [...document.querySelectorAll('.hw-offer')]"
        ".map(one => one.getBoundingClientRect().width);"
        " return Math.abs(more.at(-1) - first) < 2; }"
    )
    undo = theme_page.get_by_role("button", name="Undo", exact=True)
    undo.click()
    expect(found).to_have_count(0)
    undo.click()
    expect(themes).to_have_value("Shuttle")
    expect(theme_page.get_by_text(re.compile("^From G4 to E5"))).to_be_visible()


def test_three_voices_over_chords_are_engraved_with_the_chords(theme_page: Page) -> None:
    theme_page.get_by_role("combobox", name="Look for", exact=True).select_option(
        "canons in more voices"
    )
    theme_page.get_by_role("combobox", name="Under them").select_option("these chords")
    theme_page.get_by_role("button", name="Look for it").click()
    expect(theme_page.get_by_text("Write the chords first")).to_be_visible()
    theme_page.get_by_role("textbox", name="Chords, coming round").fill("Dm7 | G7 | Dm7 | C")
    look_for(theme_page, "canons in more voices")
    expect(theme_page.get_by_text("Write the chords first")).to_have_count(0)
    opened = theme_page.locator(".hw-score").nth(1)
    expect(opened.locator("g.harm").first).to_be_visible()
    expect(opened.locator("g.label", has_text="Third voice").first).to_be_visible()


def test_the_best_of_the_chart_is_one_press_away(theme_page: Page) -> None:
    theme_page.get_by_role("combobox", name="Motion").select_option("contrary")
    theme_page.get_by_role("button", name="Show the best of these").click()
    expect(
        theme_page.get_by_role("button", pressed=True, name=re.compile("beats later"))
    ).to_have_count(1)
    expect(theme_page.get_by_text(re.compile("^Answers itself upside down")).first).to_be_visible()
    expect(theme_page.locator(".hw-score").nth(1)).to_be_in_viewport()


def test_the_chart_is_gone_through_by_keyboard(theme_page: Page) -> None:
    opened = theme_page.get_by_role("button", pressed=True, name=re.compile("beats later"))
    opened.focus()
    focused = theme_page.locator(".hw-chart button:focus")
    before = place = focused.get_attribute("aria-label")
    for key in ("ArrowRight", "ArrowLeft", "ArrowDown", "ArrowUp"):
        if place == before:
            theme_page.keyboard.press(key)
            place = focused.get_attribute("aria-label")
    assert place != before
    theme_page.keyboard.press("Enter")
    expect(focused).to_have_attribute("aria-pressed", "true")
    expect(focused).to_have_attribute("aria-label", place or "")
    expect(theme_page.locator(".hw-score").nth(1)).to_be_in_viewport()


def test_a_sheet_is_written_and_the_theme_carried_on(theme_page: Page, served: Served) -> None:
    theme_page.get_by_role("textbox", name="Name", exact=True).fill("weaving")
    theme_page.get_by_role("button", name="Write a sheet").click()
    expect(theme_page.get_by_text(re.compile("Kept as weaving sheet.pdf"))).to_be_visible()
    assert (served.folder / "weaving sheet.pdf").read_bytes().startswith(b"%PDF")
    theme_page.get_by_role("button", name="Carry to desk 3").click()
    expect(theme_page.get_by_text(re.compile("choose weaving tune under Kept"))).to_be_visible()
    assert find_faults((served.folder / "weaving tune.musicxml").read_bytes()) == []


def test_what_is_shown_is_kept_as_valid_musicxml(theme_page: Page, served: Served) -> None:
    theme_page.get_by_role("textbox", name="Name", exact=True).fill("fifth below")
    theme_page.get_by_role("button", name="Keep", exact=True).click()
    expect(theme_page.get_by_text(re.compile("Kept as fifth below.musicxml"))).to_be_visible()
    kept = served.folder / "fifth below.musicxml"
    assert find_faults(kept.read_bytes()) == []
    assert (served.folder / "fifth below.json").exists()


def test_a_long_search_shows_how_far_it_is_and_can_be_stopped(
    theme_page: Page, served: Served
) -> None:
    bars = ["CDEF GABc|", "cBAG FEDC|", "CEGc GECE|", "DFAd AFDF|"]
    notes = "".join(bars[(7 * bar + bar // 3) % 4] for bar in range(96))
    long = f"X:1\nT:Long\nM:4/4\nL:1/8\nK:C\n{notes}]\n"
    (served.folder / "long.abc").write_text(long, encoding="utf-8")
    theme_page.get_by_role("combobox", name="Kept", exact=True).focus()
    themes = theme_page.get_by_role("combobox", name="Theme", exact=True)
    expect(themes.locator("option", has_text="long.abc")).to_have_count(1)
    themes.select_option("long.abc")
    expect(theme_page.get_by_text(re.compile(r"Looking for canons: \d+ %"))).to_be_visible()
    theme_page.get_by_role("button", name="Cancel").click()
    expect(theme_page.get_by_text("The search for canons was stopped.")).to_be_visible()
    expect(themes).to_have_value("Shuttle")
    (served.folder / "long.abc").unlink()


_INK = """() => {
  const ink = getComputedStyle(document.querySelector('.hw-offer-words')).color;
  const notes = [...document.querySelectorAll('.hw-offer-picture g.notehead')];
  return notes.length > 10 && notes.every((note) => getComputedStyle(note).fill === ink);
}"""


def test_small_pictures_have_the_ink_of_the_page_light_or_dark(theme_page: Page) -> None:
    theme_page.wait_for_function(_INK)
    theme_page.emulate_media(color_scheme="dark")
    theme_page.wait_for_function("() => document.body.dataset.jpThemeLight === 'false'")
    theme_page.wait_for_function(_INK)
    assert find_barriers(theme_page) == []
    theme_page.emulate_media(color_scheme="light")
    theme_page.wait_for_function("() => document.body.dataset.jpThemeLight === 'true'")
    assert find_barriers(theme_page) == []


def test_nothing_complained(served: Served, theme_page: Page) -> None:
    assert served.faults == []
