"""A MIDI keyboard that is not there: put in the page before it loads, played from the test."""

from __future__ import annotations

from playwright.sync_api import Page

NAME = "Keys of the test"

#: In place of the browser's own Web MIDI: one input that hands on whatever the test plays.
ONE_KEYBOARD = f"""
(() => {{
  const input = {{ id: "1", name: "{NAME}", state: "connected", onmidimessage: null }};
  const inputs = new Map([["1", input]]);
  const access = {{ inputs, outputs: new Map(), sysexEnabled: false, onstatechange: null }};
  window.midiAsked = [];
  navigator.requestMIDIAccess = async (options) => {{
    window.midiAsked.push(options);
    return access;
  }};
  window.playMidi = (...messages) => {{
    for (const bytes of messages) input.onmidimessage?.({{ data: Uint8Array.from(bytes) }});
  }};
  window.plugMidi = (isIn) => {{
    if (isIn) access.inputs.set("1", input);
    else access.inputs.delete("1");
    access.onstatechange?.({{ port: input }});
  }};
}})();
"""

#: A browser that knows Web MIDI but is told not to allow it.
REFUSING = """
navigator.requestMIDIAccess = async () => {
  throw new DOMException("denied", "NotAllowedError");
};
"""

#: A browser without Web MIDI.
WITHOUT = """
delete Navigator.prototype.requestMIDIAccess;
"""


def play(page: Page, *numbers: int) -> None:
    """Play notes together, then let them go."""
    strike(page, *numbers)
    release(page, *numbers)


def strike(page: Page, *numbers: int) -> None:
    """Press keys, one after another."""
    page.evaluate("all => window.playMidi(...all)", [[0x90, number, 80] for number in numbers])


def release(page: Page, *numbers: int) -> None:
    """Let keys go; every other one by a note-on without velocity, as many keyboards do."""
    messages = [
        [0x90, number, 0] if place % 2 else [0x80, number, 64]
        for place, number in enumerate(numbers)
    ]
    page.evaluate("all => window.playMidi(...all)", messages)


def send(page: Page, *message: int) -> None:
    """Send one message as it is."""
    page.evaluate("bytes => window.playMidi(bytes)", list(message))
