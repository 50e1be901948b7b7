"""The sketchbook's line at the desk: keep, open, carry on to another desk."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.sketchbook import Sketchbook
from harmony.workbench.keeping import say_kept
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.guard import Guard, saying
from harmony.workbench.parts.keeping import Keeping
from harmony.workbench.parts.layout import button
from harmony.workbench.parts.player import Player
from harmony.workbench.progression.carrying import TOP, carry_voice
from harmony.workbench.progression.keeping import DESK, USUAL_NAME, keep_to_choices, keep_work
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import Work


class Desk(Protocol):
    """What the shelf asks of the desk it belongs to."""

    work: Work
    player: Player

    def go_to(self, choices: Choices) -> None:
        """Show what was kept; Undo leads back."""


class Shelf:
    """What is kept, and the buttons for it; ``box`` is what is laid out."""

    def __init__(self, desk: Desk, sketchbook: Sketchbook) -> None:
        self._desk, self._sketchbook = desk, sketchbook
        self.keeping = Keeping(name=USUAL_NAME)
        self.carrying = Actions(
            items=[
                button("theme", "Carry the top line to desk 2"),
                button("tune", "Carry the chosen voice to desk 3"),
            ]
        )
        self.box = ipywidgets.VBox([self.keeping, self.carrying])
        self.box.add_class("hw-folded")
        guard = Guard(saying(self.keeping))
        self.keeping.on_press(guard(self._take_keeping))
        self.keeping.on_look(guard(self.look))
        self.carrying.on_press(guard(self._carry))
        self.look()

    def look(self) -> None:
        """List the progressions that the sketchbook holds now; other desks keep there too."""
        self.keeping.kept = [k.name for k in self._sketchbook.keeps() if k.record.desk == DESK]

    def _take_keeping(self, action: str, name: str) -> None:
        if action == "keep":
            keep = keep_work(self._sketchbook, name, self._desk.work)
            self.look()
            self.keeping.say(say_kept(keep))
        else:
            self._desk.go_to(keep_to_choices(self._sketchbook.open(name)))
            self.keeping.say(f"{name} is open; Undo leads back to what was here before.")

    def _carry(self, where: str) -> None:
        work = self._desk.work
        chosen = work.choices.chosen
        voice = chosen[1] if where == "tune" and chosen is not None else TOP
        tempo = self._desk.player.quarters_per_minute
        keep = carry_voice(self._sketchbook, self.keeping.name, work, voice, tempo=tempo)
        self.look()
        own = work.problem.ensemble.voices[voice].name
        none = ", the top line as no voice is chosen," if where == "tune" and chosen is None else ""
        self.keeping.say(
            f"{own}{none} is kept as {keep.score_path.name}: at desk"
            f" {2 if where == 'theme' else 3} choose {keep.name} under Kept and press Open."
        )
