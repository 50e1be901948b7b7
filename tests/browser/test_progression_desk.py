"""Desk 1 in the real JupyterLab: typed, voiced, dragged, pinned, undone, heard, kept."""

from __future__ import annotations

import json
import re
from pathlib import Path

import music21
import pytest
import verovio
from lxml import etree
from playwright.sync_api import expect

from harmony.voicings.api import voice
from harmony.workbench.progression.opening import ENSEMBLE, TEXT
from tests.browser.desk import Desk
from tests.browser.listening import wait_for_silence, wait_for_sound
from tests.browser.opening import wait_for_redraw
from tests.published.musicxml_schema import schema

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

HYMN = "D: I V6 | ii65 b3 V7 | I"


def test_the_desk_opens_already_worked(desk: Desk) -> None:
    expect(desk.text_box).to_have_value(TEXT)
    assert desk.ensemble.input_value() == ENSEMBLE
    best = voice(TEXT, ENSEMBLE).alternatives[0]
    assert desk.total() == pytest.approx(best.cost, abs=0.051)
    assert sum(desk.costs()) == pytest.approx(best.cost, abs=0.5)
    expect(desk.sheet.locator("g.note")).to_have_count(32)
    for name in ("Voice it", "Play", "Keep", "Undo"):
        expect(desk.button(name)).to_be_visible()
    expect(desk.page.get_by_role("button", name=re.compile("^Alternative [A-E],"))).to_have_count(5)


def test_what_is_typed_is_voiced_by_button_and_by_enter(desk: Desk) -> None:
    desk.voice(HYMN)
    expect(desk.sheet.locator("g.note")).to_have_count(20)
    assert desk.total() == pytest.approx(voice(HYMN, ENSEMBLE).alternatives[0].cost, abs=0.051)
    desk.write("C: I | V | I")
    desk.redraws(lambda: desk.text_box.press("Enter"))
    expect(desk.sheet.locator("g.note")).to_have_count(12)


def test_another_ensemble_is_another_score(desk: Desk) -> None:
    desk.redraws(lambda: desk.ensemble.select_option("SATB choir"))
    expect(desk.sheet.get_by_text("Soprano")).to_be_visible()
    best = voice(TEXT, "SATB choir").alternatives[0]
    assert desk.total() == pytest.approx(best.cost, abs=0.051)


def test_a_slider_moves_to_a_new_best_and_back(desk: Desk) -> None:
    before = desk.total()
    slider = desk.slider("Spacing")
    slider.focus()
    for _ in range(3):
        desk.redraws(lambda: slider.press("ArrowRight"))
    assert slider.get_attribute("aria-valuetext") == "well towards open"
    assert desk.total() != before
    desk.redraws(lambda: desk.button("Undo").click())
    assert slider.get_attribute("aria-valuetext") == "towards open"
    desk.redraws(lambda: desk.button("Redo").click())
    assert slider.get_attribute("aria-valuetext") == "well towards open"


def test_a_drag_is_one_change(desk: Desk) -> None:
    slider = desk.slider("Motion")
    box = slider.bounding_box()
    assert box is not None
    middle = box["y"] + box["height"] / 2
    mouse = desk.page.mouse
    mouse.move(box["x"] + box["width"] / 2, middle)
    mouse.down()

    def drag() -> None:
        for share in (0.6, 0.7, 0.8, 0.9, 1.0):
            mouse.move(box["x"] + box["width"] * share, middle)
            desk.page.wait_for_timeout(30)
        mouse.up()

    desk.redraws(drag)
    expect(slider).to_have_attribute("aria-valuetext", "all for far")
    desk.rests()
    desk.redraws(lambda: desk.button("Undo").click())
    expect(slider).to_have_attribute("aria-valuetext", "as usual")
    expect(desk.button("Undo")).to_be_disabled()


def test_a_term_behind_the_fold_can_be_switched_off(desk: Desk) -> None:
    desk.page.get_by_text("All the terms").click()
    slider = desk.slider("Motion").nth(1)
    slider.focus()
    desk.redraws(lambda: slider.press("Home"))
    expect(slider).to_have_attribute("aria-valuetext", "off")
    without = voice(TEXT, ENSEMBLE, weights={"motion": 0}).alternatives[0]
    assert desk.total() == pytest.approx(without.cost, abs=0.051)
    desk.page.get_by_text("All the terms").click()


def test_a_click_pins_and_another_unpins(desk: Desk) -> None:
    head = desk.note(2, 1).locator(".notehead")
    desk.redraws(lambda: head.click())
    expect(desk.pinned_boxes()).to_have_count(1)
    expect(desk.spoken()).to_have_text(re.compile(r"Violin 2, bar 3, beat 1: C 5, pinned"))
    desk.redraws(lambda: desk.note(2, 1).locator(".notehead").click())
    expect(desk.pinned_boxes()).to_have_count(0)
    desk.redraws(lambda: desk.button("Undo").click())
    expect(desk.pinned_boxes()).to_have_count(1)


def test_the_keyboard_alone_walks_and_pins(desk: Desk) -> None:
    desk.go_to_the_first_note()
    expect(desk.spoken()).to_have_text(re.compile("^Violin 1, bar 1, beat 1: F 5$"))
    desk.page.keyboard.press("ArrowDown")
    desk.page.keyboard.press("ArrowDown")
    desk.page.keyboard.press("ArrowRight")
    expect(desk.spoken()).to_have_text(re.compile("^Viola, bar 2, beat 1: G 4$"))
    desk.redraws(lambda: desk.page.keyboard.press("Enter"))
    expect(desk.spoken()).to_have_text(re.compile("^Viola, bar 2, beat 1: G 4, pinned$"))
    expect(desk.sheet).to_be_focused()
    desk.page.keyboard.press("End")
    expect(desk.spoken()).to_have_text(re.compile("^Viola, bar 8, beat 1:"))


def test_a_candidate_s_price_is_what_pinning_it_costs(desk: Desk) -> None:
    desk.go_to_the_first_note()
    group = desk.page.get_by_role("group", name=re.compile("^Violin 1 at bar 1"))
    dearer = group.get_by_role("button", name=re.compile(r"^A 5, \+"))
    price = float(re.search(r"\+([0-9.]+)", dearer.get_attribute("aria-label") or "")[1])
    before = desk.total()
    desk.redraws(lambda: dearer.click())
    assert desk.total() - before == pytest.approx(price, abs=0.11)
    expect(desk.pinned_boxes()).to_have_count(1)


def test_letters_stay_while_alternatives_are_compared(desk: Desk) -> None:
    names = [desk.alternative(letter).get_attribute("aria-label") for letter in "ABCDE"]
    desk.redraws(lambda: desk.alternative("C").click())
    expect(desk.alternative("C")).to_have_attribute("aria-pressed", "true")
    assert [desk.alternative(letter).get_attribute("aria-label") for letter in "ABCDE"] == names
    expect(desk.page.get_by_text(re.compile(r"^Cost .* against A\."))).to_be_visible()


def test_alternatives_stand_side_by_side_engraved_small(desk: Desk) -> None:
    pictures = desk.page.locator(".hw-card-picture")
    expect(pictures).to_have_count(5)
    expect(
        desk.page.get_by_text(re.compile("^Alternatives, as they differ in bars"))
    ).to_be_visible()
    for place in range(5):
        expect(pictures.nth(place)).to_have_css("mask-image", re.compile("^url.*svg"))
        box = pictures.nth(place).bounding_box()
        assert box is not None
        assert box["width"] > 150
        assert box["height"] > 60
    tops = {round(desk.alternative(letter).bounding_box()["y"]) for letter in "ABCDE"}
    assert len(tops) == 1


def test_locked_bars_stay_and_are_let_go_by_keyboard(desk: Desk) -> None:
    bars = desk.page.get_by_role("textbox", name=re.compile("^Bars, such as"))
    bars.fill("2-3")
    desk.redraws(lambda: bars.press("Enter"))
    expect(desk.page.get_by_text("Locked: bars 2 to 3.")).to_be_visible()
    expect(desk.pinned_boxes()).to_have_count(8)
    expect(desk.sheet.locator(".hw-under text").nth(1)).to_have_text(re.compile("locked$"))
    desk.note(1, 0).locator(".notehead").click()
    expect(desk.page.get_by_role("alert")).to_have_text(re.compile("Bar 2 is locked"))
    let_go = desk.button("Let go of all")
    let_go.focus()
    desk.redraws(lambda: desk.page.keyboard.press("Enter"))
    expect(desk.pinned_boxes()).to_have_count(0)


def test_the_chosen_voice_is_carried(desk: Desk, sketchbook: Path) -> None:
    desk.go_to_the_first_note()
    desk.page.keyboard.press("ArrowDown")
    expect(desk.spoken()).to_have_text(re.compile("^Violin 2"))
    desk.page.get_by_label("Name", exact=True).fill("Ground")
    desk.button("Carry the chosen voice to desk 3").click()
    told = "Violin 2 is kept as Ground, Violin 2.musicxml: at desk 3 choose"
    expect(desk.page.get_by_text(re.compile(f"^{told}"))).to_be_visible()
    schema().assertValid(etree.parse(sketchbook / "Ground, Violin 2.musicxml"))


def test_lab_s_own_keys_do_nothing_to_the_desk(desk: Desk) -> None:
    cells = desk.page.locator(".jp-Cell")
    count = cells.count()
    desk.button("Play").focus()
    for key in ("a", "b", "d", "d", "x", "m"):
        desk.page.keyboard.press(key)
    desk.slider("Motion").first.focus()
    for key in ("a", "b", "d", "d", "x"):
        desk.page.keyboard.press(key)
    assert cells.count() == count


def test_play_sounds_lights_the_chord_and_stops(desk: Desk) -> None:
    desk.button("Play").click()
    wait_for_sound(desk.page, above=0.002)
    expect(desk.sheet.locator(".hw-sounding")).to_have_count(4)
    desk.button("Stop").click()
    expect(desk.sheet.locator(".hw-sounding")).to_have_count(0)
    wait_for_silence(desk.page)
    expect(desk.player).to_have_attribute("data-playing", "false")


def test_what_sounds_is_what_is_written(desk: Desk) -> None:
    desk.voice("C: I")
    notes = voice("C: I", ENSEMBLE).alternatives[0].pitches[0]
    desk.button("Play").click()
    # A tritone below the lowest voice nothing sounds; the notes stand far above what is there.
    desk.page.wait_for_function(
        """([midis, silent]) => {
            const at = midi => window.soundAt(440 * 2 ** ((midi - 69) / 12));
            return Math.min(...midis.map(at)) > at(silent) + 15;
        }""",
        arg=[[note.midi for note in notes], notes[-1].midi - 6],
    )
    desk.stop()


def test_bars_are_looped(desk: Desk) -> None:
    desk.page.get_by_label("First bar of the loop").fill("3")
    desk.page.get_by_label("Last bar of the loop").fill("3")
    desk.page.get_by_label("Last bar of the loop").press("Enter")
    desk.page.get_by_label("Quarter notes a minute").fill("300")
    desk.page.get_by_label("Loop bars").check()
    heard = desk.page.evaluate(
        """() => new Promise(done => {
            const slots = [];
            const hear = event => {
                slots.push(event.detail.slot);
                if (slots.filter(slot => slot === 2).length > 2) {
                    document.removeEventListener('harmony:sounding', hear);
                    done(slots);
                }
            };
            document.addEventListener('harmony:sounding', hear);
            [...document.querySelectorAll('button')].find(b => b.textContent === 'Play').click();
            setTimeout(() => done(slots), 6000);
        })"""
    )
    desk.stop()
    desk.page.get_by_label("Loop bars").uncheck()
    desk.page.get_by_label("Quarter notes a minute").fill("84")
    assert {slot for slot in heard if slot is not None} == {2}


def test_keep_writes_a_score_that_others_read(desk: Desk, sketchbook: Path) -> None:
    desk.redraws(lambda: desk.note(0, 0).locator(".notehead").click())
    desk.page.get_by_label("Name", exact=True).fill("Night Shift, ground")
    desk.button("Keep").click()
    expect(
        desk.page.get_by_text(re.compile("^Kept as Night Shift, ground.musicxml"))
    ).to_be_visible()
    kept = sketchbook / "Night Shift, ground.musicxml"
    schema().assertValid(etree.parse(kept))
    assert verovio.toolkit().loadData(kept.read_text("utf-8"))
    score = music21.converter.parse(kept)
    best = voice(TEXT, ENSEMBLE, pins=["1.1 Violin 1=F5"]).alternatives[0]
    for place, part in enumerate(score.parts):
        sounding = [
            note.pitch.nameWithOctave.replace("-", "b")
            for note in part.flatten().getElementsByClass("Note")
        ]
        assert sounding == [str(pitches[place]) for pitches in best.pitches]
    record = json.loads((sketchbook / "Night Shift, ground.json").read_text("utf-8"))
    assert record["source"] == TEXT
    assert record["pins"] == ["1.1 Violin 1=F5"]
    assert record["status"] == "optimal"
    assert sum(record["terms"].values()) == pytest.approx(record["cost"])


def test_opening_a_keep_restores_the_desk(desk: Desk) -> None:
    slider = desk.slider("Part-writing")
    slider.focus()
    desk.redraws(lambda: slider.press("ArrowRight"))
    desk.redraws(lambda: desk.note(4, 2).locator(".notehead").click())
    total = desk.total()
    desk.page.get_by_label("Name", exact=True).fill("to come back to")
    desk.button("Keep").click()
    expect(desk.page.get_by_text(re.compile("^Kept as to come back to"))).to_be_visible()
    desk.voice(HYMN)
    desk.page.get_by_role("combobox", name="Kept").select_option("to come back to")
    desk.redraws(lambda: desk.button("Open").click())
    expect(desk.text_box).to_have_value(TEXT)
    expect(desk.pinned_boxes()).to_have_count(1)
    expect(slider).to_have_attribute("aria-valuetext", "a little towards free")
    assert desk.total() == total


def test_many_voices_are_sought_beside_the_desk_until_stopped(desk: Desk) -> None:
    long = "D: " + " | ".join(["I V65/V V7 vi", "ii65 V7 I IV6", "N6 V I vi7"] * 3)
    desk.voice("D: I V6 | I")
    desk.ensemble.select_option("woodwind choir")
    desk.write(long)
    before = desk.revision
    desk.button("Voice it").click()
    stop = desk.button("Stop searching")
    expect(stop).to_be_visible()
    expect(desk.page.get_by_text("nothing can cost less than")).to_be_visible()
    wait_for_redraw(desk.page, before)
    # The screen is free meanwhile: a slider moves, which begins the search anew.
    before = desk.revision
    desk.slider("Spacing").press("ArrowRight")
    expect(desk.slider("Spacing")).to_have_attribute("aria-valuetext", re.compile("a little"))
    wait_for_redraw(desk.page, before)
    expect(stop).to_be_visible()
    stop.click()
    expect(stop).to_be_hidden()
    expect(desk.page.get_by_text(re.compile("^Cost .* stopped"))).to_be_visible()
    assert desk.note(0, 7).count() == 1
    # Undo leads through what would be sought for long without waiting for it.
    while desk.text_box.input_value() != TEXT or desk.ensemble.input_value() != ENSEMBLE:
        desk.button("Undo").dispatch_event("click")  # one that is disabled does nothing
    expect(desk.sheet.locator("g.note")).to_have_count(32)
    expect(stop).to_be_hidden()
    desk.rests()
    desk.text_box.scroll_into_view_if_needed()


def test_first_and_last_chord_are_fixed_beside_locked_bars_a_line_and_a_register(
    desk: Desk, sketchbook: Path
) -> None:
    other = voice(TEXT, ENSEMBLE, pins=["1.1 Violin 1=A5"])
    other.to_musicxml(sketchbook / "another way.musicxml")
    line = re.compile("^Register from a bar on")
    register = desk.page.get_by_role("textbox", name=line)
    if not register.count():
        desk.page.get_by_text("Lines given, registers").click()
    desk.page.get_by_label("Line in the sketchbook").select_option("another way.musicxml")
    desk.page.get_by_label("Its part").select_option("4: Cello")
    desk.page.get_by_label("For", exact=True).select_option("Cello")
    desk.redraws(lambda: desk.button("Give it the line").click())
    for end in ("Home", "End"):
        desk.go_to_the_first_note()
        desk.page.keyboard.press(end)
        desk.redraws(lambda: desk.button("Fix the chord").click())
    bars = desk.page.get_by_role("textbox", name=re.compile("^Bars, such as"))
    bars.fill("3")
    desk.redraws(lambda: bars.press("Enter"))
    held = "Locked: bar 3. Fixed as voiced: bar 1, beat 1; bar 8, beat 1."
    expect(desk.page.get_by_text(held)).to_be_visible()
    before = {place: spoken_at(desk, place) for place in (0, 2, 7)}
    # A register that the fixed chord does not keep is refused, with its bar.
    register.fill("7 Violin 2=C5-E5")
    told = desk.refuses(lambda: register.press("Enter"))
    assert told.endswith("its register from bar 7 on is C5 to E5.")
    register.fill("4 Violin 1=A4-G5")
    desk.redraws(lambda: register.press("Enter"))
    slider = desk.slider("Spacing")
    slider.focus()
    for _ in range(2):
        desk.redraws(lambda: slider.press("ArrowRight"))
    expect(desk.page.get_by_text(held)).to_be_visible()
    assert {place: spoken_at(desk, place) for place in (0, 2, 7)} == before


def spoken_at(desk: Desk, slot: int) -> list[str]:
    """Give the notes of a chord above a given bass, as they are spoken on the way through them."""
    desk.go_to_the_first_note()
    for _ in range(slot):
        desk.page.keyboard.press("ArrowRight")
    told = []
    for name in ("Violin 1", "Violin 2", "Viola"):
        expect(desk.spoken()).to_have_text(re.compile(f"^{name}, bar {slot + 1}, "))
        told.append(desk.spoken().inner_text())
        desk.page.keyboard.press("ArrowDown")
    return told
