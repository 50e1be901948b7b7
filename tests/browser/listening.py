"""Listening in: how loud it is that goes to the loudspeaker, and how strong one frequency in it."""

from __future__ import annotations

from playwright.sync_api import Page

#: Put in a page before it loads: whatever is connected to a loudspeaker is heard as well.
_EARS = """
(() => {
    const connect = AudioNode.prototype.connect;
    const ears = [];
    AudioNode.prototype.connect = function (target, ...more) {
        if (target instanceof AudioDestinationNode) {
            const ear = this.context.createAnalyser();
            ear.fftSize = 8192;
            connect.call(this, ear);
            ears.push(ear);
        }
        return connect.call(this, target, ...more);
    };
    // The root mean square of what goes to the loudspeaker just now.
    window.soundLevel = () => Math.sqrt(ears.reduce((whole, ear) => {
        const samples = new Float32Array(ear.fftSize);
        ear.getFloatTimeDomainData(samples);
        return whole + samples.reduce((sum, one) => sum + one * one, 0) / samples.length;
    }, 0));
    // How strong one frequency is in it, in decibels.
    window.soundAt = hz => Math.max(-Infinity, ...ears.map(ear => {
        const bins = new Float32Array(ear.frequencyBinCount);
        ear.getFloatFrequencyData(bins);
        return bins[Math.round(hz * ear.fftSize / ear.context.sampleRate)];
    }));
})();
"""


def lend_ears(page: Page) -> None:
    """Let tests hear the page: ``window.soundLevel()`` and ``window.soundAt(hz)``."""
    page.add_init_script(_EARS)


def wait_for_sound(page: Page, *, above: float = 0.0005) -> None:
    """Wait until something goes to the loudspeaker that is louder than so much."""
    page.wait_for_function("least => window.soundLevel() > least", arg=above)


def wait_for_silence(page: Page) -> None:
    """Wait until nothing to be heard goes to the loudspeaker."""
    page.wait_for_function("() => window.soundLevel() < 0.0005")


def sound_level(page: Page) -> float:
    """Give the root mean square of what goes to the loudspeaker just now."""
    return float(page.evaluate("() => window.soundLevel()"))
