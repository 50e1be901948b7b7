"""Whom the chords are carried for, and in which of their voices the tune lies."""

from __future__ import annotations

import ipywidgets

from harmony.harmonising.lines import BASS, INNER, MELODY
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.instruments.catalogue import ensemble_names
from harmony.workbench.parts.controls import Actions, Choice
from harmony.workbench.parts.layout import button, row

NO_VOICE = "no voice"


class CarriedFor:
    """The line under the keeps. ``box`` is what is laid out there."""

    def __init__(self) -> None:
        self._given = MELODY  # which voice the tune was when one was suggested
        self.players = Choice(
            label="Carried for", options=list(ensemble_names()), value="string quartet"
        )
        self.voice = Choice(label="The tune in")
        self.carry = Actions(
            items=[button("carry", "Carry to desk 1"), button("each", "Keep each alternative")]
        )
        self.list_voices()
        self.box: ipywidgets.Box = row(self.players, self.voice, self.carry, name="hw-line")

    def list_voices(self) -> None:
        """List the voices of the players chosen, the first of them chosen."""
        names = [one.name for one in find_ensemble(self.players.value).voices]
        self.voice.options = [*names, NO_VOICE]
        self.voice.value = self.voice.options[0]

    def suggest(self, given: str) -> None:
        """Where the tune is another voice than before, choose that voice to carry it."""
        if given != self._given:
            self._given = given
            names = self.voice.options[:-1]
            self.voice.value = names[{BASS: len(names) - 1, INNER: len(names) // 2}.get(given, 0)]
