"""Play and Stop, in the browser's own audio."""

from __future__ import annotations

import anywidget
import traitlets

from harmony.workbench.parts.assets import load_script, load_style

FIRST_LEVEL = 25  # of 100; the level begins quiet


class Player(anywidget.AnyWidget):
    """Plays a tune of chords by voice and tells the notation which chord sounds.

    ``tune`` has ``voices`` (top first; each ``loudness``, ``sustains``,
    ``attack_seconds``, ``decay_seconds``, ``notes``: [onset, duration, MIDI
    number] in quarters, and ``partials``: strengths by MIDI number), ``chords``
    ([slot, onset, duration]), ``bars`` (``number``, ``start``, ``end``), ``end``.
    """

    _esm = load_script("player", "loudspeaker")
    _css = load_style("player")

    desk = traitlets.Unicode().tag(sync=True)
    tune = traitlets.Dict({"voices": [], "chords": [], "bars": [], "end": 0}).tag(sync=True)
    level = traitlets.Int(FIRST_LEVEL).tag(sync=True)
    quarters_per_minute = traitlets.Float(72).tag(sync=True)
    loop = traitlets.List(default_value=[False, 1, 1]).tag(sync=True)
    playing = traitlets.Bool().tag(sync=True)

    def start(self) -> None:
        """Play the tune, as if Play were pressed."""
        self.send({"play": True})
