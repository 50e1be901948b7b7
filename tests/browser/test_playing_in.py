"""Chords and melodies without typing: by click, by computer keys, by a simulated MIDI keyboard."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser import simulated_midi as midi
from tests.browser.listening import lend_ears, sound_level, wait_for_sound
from tests.browser.serving import Served
from tests.browser.test_access import RULES

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

PATIENCE = 30_000  # milliseconds
OPENING = "6/8 d: i | VII6 | III | IV7 | VI7 | N6 | V7 | i"


class Played:
    """The fold with staff and keyboard on a page."""

    def __init__(self, page: Page, fold: str) -> None:
        self.page = page
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        expect(page.locator(".hw-score g.note").first).to_be_visible()
        opener = page.get_by_role("button", name=fold)
        # Lab may run the cell once more just after opening; the fold is then closed again.
        expect(opener).to_have_attribute("aria-expanded", re.compile("true|false"))
        if opener.get_attribute("aria-expanded") == "false":
            opener.click()
        expect(self.keyboard).to_be_visible()
        expect(self.staff.locator("svg").first).to_be_visible()

    @property
    def keyboard(self) -> Locator:
        return self.page.get_by_role("application", name=re.compile("^Keyboard, C2 to C6"))

    @property
    def staff(self) -> Locator:
        return self.page.locator(".hw-in-staff")

    @property
    def told(self) -> Locator:
        return self.page.locator(".hw-in-told")

    @property
    def text(self) -> Locator:
        return self.page.get_by_role("textbox", name="Progression", exact=True)

    def key(self, name: str) -> Locator:
        return self.keyboard.get_by_role("button", name=name, exact=True)

    def click(self, name: str) -> None:
        """Click a key where a hand would: a white one below the black ones."""
        self.key(name).click(position={"x": 11, "y": 40 if " or " in name else 120})

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def press(self, *keys: str) -> None:
        self.keyboard.focus()
        for key in keys:
            self.page.keyboard.press(key)

    def held(self) -> list[str | None]:
        pressed = self.keyboard.locator("[aria-pressed=true]")
        return [one.get_attribute("aria-label") for one in pressed.all()]


@pytest.fixture(scope="module")
def browser(page: Page) -> Browser:
    """The browser that already runs; a second one cannot be driven beside it."""
    found = page.context.browser
    assert found is not None
    return found


@contextmanager
def open_desk(browser: Browser, served: Served, desk: str, script: str) -> Iterator[Page]:
    """Open a desk on a page of its own whose Web MIDI is replaced by ``script``."""
    page = browser.new_page(viewport={"width": 1280, "height": 1000})
    page.on("pageerror", lambda error: served.faults.append(str(error)))
    page.add_init_script(script)
    lend_ears(page)
    page.goto(re.sub(r"\w+\.ipynb", f"{desk}.ipynb", served.address))
    yield page
    page.close()


@pytest.fixture(scope="module")
def chords(browser: Browser, served: Served) -> Iterator[Played]:
    with open_desk(browser, served, "progression", midi.ONE_KEYBOARD) as page:
        yield Played(page, "Play chords in")


@pytest.fixture(autouse=True)
def fresh(request: pytest.FixtureRequest) -> Callable[[], None] | None:
    """Let go of what another test held and put the text back."""
    if "chords" not in request.fixturenames:
        return None
    chords: Played = request.getfixturevalue("chords")
    for name in chords.held():
        chords.click(str(name))
    chords.page.get_by_role("combobox", name="Written as").select_option("Roman numerals")
    chords.text.fill(OPENING)
    chords.text.press("Enter")
    expect(chords.page.get_by_text(re.compile(r"^Cost \S+ in all"))).to_be_visible()
    return None


def test_keys_are_clicked_into_a_chord_and_out_of_it(chords: Played) -> None:
    for name in ("A 3", "C sharp or D flat 4", "E 4", "G 4"):
        chords.click(name)
    expect(chords.told).to_have_text("V7\nA3  C♯4  E4  G4")
    expect(chords.staff.locator("g.note")).to_have_count(4)
    chords.click("G 4")
    expect(chords.told).to_have_text("V\nA3  C♯4  E4")
    chords.button("Put it in").click()
    expect(chords.text).to_have_value(f"{OPENING} | V")
    expect(chords.told).to_have_text("Nothing is held.")
    assert chords.held() == []


def test_computer_keys_play_enter_puts_in_and_backspace_takes_back(chords: Played) -> None:
    # The home row from F: S is G, F is B, H is D, K is F.
    chords.press("KeyS", "KeyF", "KeyH", "KeyK")
    expect(chords.told).to_have_text("IV7\nG3  B3  D4  F4")
    chords.press("Enter")
    expect(chords.text).to_have_value(f"{OPENING} | IV7")
    expect(chords.page.locator(".hw-score g.measure")).to_have_count(9)
    chords.press("Backspace")
    expect(chords.text).to_have_value(OPENING)
    expect(chords.page.locator(".hw-score g.measure")).to_have_count(8)


def test_backspace_lets_go_of_the_last_note_first(chords: Played) -> None:
    chords.press("KeyS", "KeyF")
    expect(chords.told).to_have_text("G3  B3")
    chords.press("Backspace")
    expect(chords.told).to_have_text("G3")


def test_one_key_respells_the_chord_and_another_one_note(chords: Played) -> None:
    chords.page.get_by_role("combobox", name="Spelled in").select_option("C major")
    # G sharp, C, D sharp, F sharp.
    chords.press("KeyE", "KeyG", "KeyU", "PageUp", "KeyW", "PageDown")
    expect(chords.told).to_have_text("Ger65\nA♭3  C4  E♭4  F♯4")
    chords.press("n")
    expect(chords.told).to_have_text("♭VId7\nA♭3  C4  E♭4  G♭4".replace("♭V", "bV"))
    chords.press("Shift+N")
    expect(chords.told).not_to_contain_text("G♭4")
    chords.page.get_by_role("combobox", name="Spelled in").select_option("D minor")


def test_arrows_and_space_go_over_the_keyboard_as_one_stop(chords: Played) -> None:
    assert chords.keyboard.locator("[tabindex]").count() == 0
    chords.press("Home", "ArrowUp", "ArrowRight", "ArrowRight", "Space")
    expect(chords.told).to_have_text("D3")
    place = chords.keyboard.get_attribute("aria-activedescendant")
    assert chords.key("D 3").get_attribute("id") == place
    chords.press("Space")
    expect(chords.told).to_have_text("Nothing is held.")


def test_the_letters_on_the_keys_are_those_that_play(chords: Played) -> None:
    chords.press("PageUp", "PageDown")
    for letter, name in (("A", "F 3"), ("G", "C 4"), ("W", "F sharp or G flat 3"), ("'", "B 4")):
        assert chords.key(name).locator("text").first.text_content() == letter
    chords.press("PageDown", "KeyG")
    expect(chords.told).to_have_text("C3")
    chords.press("PageUp")


def test_a_chosen_chord_is_replaced(chords: Played) -> None:
    page = chords.page
    sheet = page.get_by_role("application", name=re.compile("^Notation for"))
    sheet.focus()
    for key in ("Home", "ArrowUp", "ArrowUp", "ArrowUp", "ArrowRight"):
        page.keyboard.press(key)
    page.get_by_role("group", name="Violin 1 at bar 2").first.wait_for()
    page.get_by_role("combobox", name="Put in").select_option("in place of the chosen chord")
    chords.press("KeyS", "KeyF", "KeyH", "Enter")
    expect(chords.text).to_have_value(OPENING.replace("VII6", "IV"))
    page.get_by_role("combobox", name="Put in").select_option("at the end")


def test_what_cannot_be_voiced_stays_in_the_box_with_its_sentence(chords: Played) -> None:
    page = chords.page
    page.get_by_role("combobox", name="Written as").select_option("notes as played")
    chords.press("KeyA", "KeyW", "KeyS", "KeyE", "KeyD", "Enter")
    expect(chords.text).to_have_value(f"{OPENING} | {{F3 F#3 G3 G#3 A3}}")
    expect(page.get_by_role("alert").filter(has_text="has 5 notes, and")).to_be_visible()
    page.get_by_role("combobox", name="Written as").select_option("Roman numerals")


def test_played_keys_are_heard_quietly_and_at_level_0_not_at_all(chords: Played) -> None:
    page = chords.page
    chords.press("KeyS")
    wait_for_sound(page, above=0.0001)
    assert sound_level(page) < 0.1
    expect(
        page.get_by_text("Raise the level with care, above all in headphones.").first
    ).to_be_visible()


def test_keys_stay_with_the_desk(chords: Played) -> None:
    cells = chords.page.locator(".jp-Cell").count()
    # Lab's own letters for a new cell, for deleting one and for cutting one.
    chords.press("a", "b", "d", "d", "x", "Enter", "Backspace")
    expect(chords.told).to_have_text("Nothing is held.")
    expect(chords.text).to_have_value(OPENING)
    assert chords.page.locator(".jp-Cell").count() == cells


def test_a_midi_keyboard_is_asked_for_only_on_request(chords: Played) -> None:
    page = chords.page
    assert page.evaluate("() => window.midiAsked.length") == 0
    expect(page.get_by_text("The browser will ask whether this page may use")).to_be_visible()
    chords.button("Listen to a MIDI keyboard").click()
    expect(page.get_by_text(f"Listening to {midi.NAME}.")).to_be_visible()
    assert page.evaluate("() => window.midiAsked") == [{"sysex": False}]
    # A chord is what sounds between two silences.
    midi.play(page, 50, 57, 62, 65)
    expect(chords.told).to_have_text("i\nD3  A3  D4  F4")
    midi.play(page, 55, 58, 62)
    expect(chords.told).to_have_text("iv\nG3  B♭3  D4")
    chords.press("Enter")
    expect(chords.text).to_have_value(f"{OPENING} | iv")


def test_the_pedal_gathers_and_other_messages_do_nothing(chords: Played) -> None:
    page = chords.page
    midi.send(page, 0xB0, 64, 127)
    for number in (57, 61, 64):
        midi.play(page, number)
    midi.send(page, 0xF8)
    midi.send(page, 0xE0, 0, 64)
    midi.send(page, 0xB0, 64, 0)
    expect(chords.told).to_have_text("V\nA3  C♯4  E4")
    midi.play(page, 62)
    expect(chords.told).to_have_text("D4")


def test_each_chord_is_taken_when_its_keys_are_let_go_if_so_wished(chords: Played) -> None:
    page = chords.page
    wish = page.get_by_role("checkbox", name="Take each chord when its keys are let go")
    wish.check()
    midi.play(page, 57, 61, 64, 67)
    expect(chords.text).to_have_value(f"{OPENING} | V7")
    midi.play(page, 50, 57, 62, 65)
    expect(chords.text).to_have_value(f"{OPENING} | V7 | i")
    wish.uncheck()


def test_a_keyboard_may_be_unplugged_and_plugged_in_again(chords: Played) -> None:
    page = chords.page
    page.evaluate("() => window.plugMidi(false)")
    expect(page.get_by_text("No MIDI keyboard is connected.")).to_be_visible()
    page.evaluate("() => window.plugMidi(true)")
    expect(page.get_by_text(f"Listening to {midi.NAME}.")).to_be_visible()


def test_no_rule_of_access_is_broken(chords: Played) -> None:
    chords.press("KeyS", "KeyF", "KeyH")
    found = Axe().run(chords.page, context=".hw-in", options=RULES).response
    assert found["passes"]
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found["violations"]] == []


@pytest.mark.parametrize(
    ("script", "sentence", "is_offered"),
    [
        (midi.WITHOUT, "This browser offers no MIDI; click the keys", False),
        (midi.REFUSING, "MIDI was not allowed; click the keys", True),
    ],
    ids=["unknown to the browser", "refused"],
)
def test_without_a_device_one_quiet_sentence(
    browser: Browser, served: Served, script: str, sentence: str, is_offered: bool
) -> None:
    with open_desk(browser, served, "progression", script) as page:
        played = Played(page, "Play chords in")
        offer = played.button("Listen to a MIDI keyboard")
        if is_offered:
            offer.click()
        else:
            expect(offer).to_be_hidden()
        expect(page.get_by_text(sentence)).to_be_visible()
        played.press("KeyS")
        expect(played.told).to_contain_text("G3")
        played.press("Backspace")


def test_a_melody_played_in_becomes_the_theme(browser: Browser, served: Served) -> None:
    with open_desk(browser, served, "theme", midi.ONE_KEYBOARD) as page:
        played = Played(page, "Play a melody in")
        page.get_by_role("combobox", name="Spelled in").select_option("D minor")
        page.get_by_role("combobox", name="Meter").select_option("3/4")
        page.get_by_role("textbox", name="Title").fill("Warp")
        # D, C sharp, D as quarters; a dotted half; an eighth rest and an eighth.
        played.press("KeyH", "KeyY", "KeyH", "2", ".", "KeyK", "8", ".", "0", "KeyJ")
        expect(played.told).to_have_text("E4. Next: bar 3, beat 2")
        played.press("n")
        expect(played.told).to_contain_text("F♭4")
        played.press("Backspace")
        expect(played.told).to_contain_text("rest. Next: bar 3, beat 1.5")
        played.button("Listen to a MIDI keyboard").click()
        midi.play(page, 69)
        midi.play(page, 74)
        expect(played.told).to_contain_text("D5. Next: bar 3, beat 2.5")
        played.press("=")
        expect(played.told).to_contain_text("D5. Next: bar 3, beat 3")
        expect(played.staff.locator("g.note")).to_have_count(6)
        played.press("Enter")
        expect(page.get_by_role("combobox", name="Theme")).to_have_value("Warp.musicxml")
        expect(page.locator(".hw-score").first.locator("g.note")).to_have_count(6)
        assert (served.folder / "Warp.musicxml").exists()


def test_nothing_complained(served: Served) -> None:
    assert served.faults == []
