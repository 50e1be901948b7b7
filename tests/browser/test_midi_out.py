"""MIDI out of desk 1: asked for only when wanted, one channel a voice, silent at the end."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.desk import Desk

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

#: In place of the browser's own Web MIDI: one output that remembers what it was sent.
ONE_INSTRUMENT = """() => {
  window.midiSent = [];
  window.midiAsked = 0;
  const send = (bytes) => window.midiSent.push([...bytes]);
  const output = { id: "7", name: "Sampler of the test", send };
  navigator.requestMIDIAccess = async () => {
    window.midiAsked += 1;
    return { inputs: new Map(), outputs: new Map([["7", output]]), onstatechange: null };
  };
}"""
REFUSING = """() => {
  navigator.requestMIDIAccess = async () => { throw new DOMException("no", "NotAllowedError"); };
}"""


def test_a_refusal_makes_no_fuss(desk: Desk) -> None:
    desk.page.evaluate(REFUSING)
    desk.button("Play on a MIDI instrument").click()
    expect(desk.page.get_by_text("The browser was not allowed to use MIDI")).to_be_visible()
    desk.button("Play").click()
    expect(desk.player).to_have_attribute("data-playing", "true")


def test_chords_go_to_the_chosen_instrument(desk: Desk) -> None:
    desk.page.evaluate(ONE_INSTRUMENT)
    assert desk.page.evaluate("window.midiAsked") == 0
    desk.button("Play on a MIDI instrument").click()
    desk.page.get_by_label("MIDI output").select_option(label="Sampler of the test")
    assert desk.page.evaluate("window.midiAsked") == 1
    desk.button("Play").click()
    desk.page.wait_for_function("() => window.midiSent.filter(m => m[0] >> 4 === 9).length >= 4")
    desk.stop()
    sent = desk.page.evaluate("window.midiSent")
    # The opening chord, d minor on D3, top voice first: a channel each.
    assert sent[:4] == [[0x90, 77, 72], [0x91, 74, 72], [0x92, 69, 72], [0x93, 50, 72]]
    on = [tuple(m[:2]) for m in sent if m[0] >> 4 == 9]
    off = [(m[0] + 0x10, m[1]) for m in sent if m[0] >> 4 == 8]
    assert sorted(on) == sorted(off)
