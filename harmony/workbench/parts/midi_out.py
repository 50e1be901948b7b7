"""What the player plays, sent to a MIDI instrument as well."""

from __future__ import annotations

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style


class MidiOut(anywidget.AnyWidget):
    """A choice of MIDI outputs, asked for only when wanted; nothing where there is no Web MIDI.

    ``chords`` holds the MIDI numbers of each chord by its number, top voice first
    (empty: silence); ``desk`` is the player's, whose sounding chords are followed.
    """

    _esm = load_script("midi_out")
    _css = load_style("midi_out")

    desk = traitlets.Unicode().tag(sync=True)
    chords = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)
