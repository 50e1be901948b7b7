"""The sketchbook's lines at desk 3: keep, open, carry on to be voiced."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.keeping import (
    DESK,
    USUAL_NAME,
    carry_to_voicing,
    keep_each,
    keep_to_choices,
    keep_work,
)
from harmony.workbench.harmonising.players import NO_VOICE, CarriedFor
from harmony.workbench.harmonising.state import Choices
from harmony.workbench.harmonising.work import Work
from harmony.workbench.keeping import say_kept
from harmony.workbench.shelf import ThemesShelf


class Desk(Protocol):
    """What the shelf asks of the desk it belongs to."""

    work: Work

    def list_sources(self) -> None:
        """List the themes that can be chosen now."""

    def go_to(self, choices: Choices) -> None:
        """Find and show what choices ask for."""


class Shelf(ThemesShelf):
    """What is kept, and the buttons for it; ``box`` is what is laid out."""

    def __init__(self, desk: Desk, sketchbook: Sketchbook) -> None:
        super().__init__(sketchbook, desk.list_sources, name=desk.work.theme.title or USUAL_NAME)
        self._desk = desk
        self.carried = CarriedFor()
        self.box = ipywidgets.VBox([self.keeping, self.carried.box])
        self.box.add_class("hw-folded")
        self.carried.players.observe(
            self._guard(lambda _change: self.carried.list_voices()), names="value"
        )
        self.carried.carry.on_press(
            self._guard(lambda name: self._carry() if name == "carry" else self._keep_each())
        )

    def _take_keeping(self, action: str, name: str) -> None:
        if action == "open":
            keep = self._sketchbook.open(name)
            self.look()
            self._desk.go_to(keep_to_choices(keep))
            said = "stands as it was kept" if keep.record.desk == DESK else "is the tune now"
            self.keeping.say(f"{name} {said}; Undo leads back.")
        else:
            self.tell(say_kept(keep_work(self._sketchbook, name, self._desk.work)))

    def _carry(self) -> None:
        ensemble, voice = self.carried.players.value, self.carried.voice.value
        keep, let_go = carry_to_voicing(
            self._sketchbook,
            self.keeping.name,
            self._desk.work,
            ensemble=ensemble,
            voice="" if voice == NO_VOICE else voice,
        )
        tune = "without the tune" if voice == NO_VOICE else f"the tune in {voice}"
        self.tell(
            f"Kept as {keep.score_path.name}: at desk 1 choose {keep.name} under Kept and press"
            f" Open; the chords stand there voiced, {tune}. {let_go}".rstrip()
        )

    def _keep_each(self) -> None:
        keeps = keep_each(self._sketchbook, self.keeping.name, self._desk.work)
        self.tell(say_kept(*keeps))
