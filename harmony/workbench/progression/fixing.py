"""The line under a chord's costs: fix the chord, lock bars, let go."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.workbench.parts.controls import Actions, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.layout import button, row
from harmony.workbench.progression.holding import (
    chosen_slot,
    fix_chord,
    let_go_of_bars,
    let_go_of_chord,
    lock_bars,
    read_bars,
    say_held,
)
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import Work


class Desk(Protocol):
    """What the line asks of the desk it belongs to."""

    work: Work

    def search(self, choices: Choices) -> None:
        """Voice anew with other choices."""

    def refuse_if_behind(self) -> None:
        """Refuse what concerns the notes shown while those of other chords are looked for."""


class Fixing:
    """What is fixed and locked, and the buttons for it; ``box`` is what is laid out."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.bars = Entry(label="Bars, such as 2 or 5-8 (empty: that of the chosen chord)")
        self.actions = Actions()
        self.told = Message()
        self.box = ipywidgets.VBox([self.told, row(self.bars, self.actions, name="hw-beside")])
        self.box.add_class("hw-folded")
        guard = Guard(complaining(self.bars))
        self.bars.on_submit(guard(lambda _text: self._take("lock")))
        self.actions.on_press(guard(self._take))

    def follow(self, work: Work) -> None:
        """Show what is held."""
        choices = work.choices
        is_chosen, is_bound = choices.chosen is not None, bool(choices.bound)
        self.told.say(say_held(work))
        self.actions.items = [
            button("fix", "Fix the chord", enabled=is_chosen, about="Its notes stay as voiced"),
            button("lock", "Lock the bars", about="Nothing in them changes"),
            button("let-go", "Let go", enabled=is_bound, about="Of the bars, or of the chord"),
            button("free", "Let go of all", enabled=is_bound),
        ]

    def _take(self, name: str) -> None:
        self._desk.refuse_if_behind()
        work, text = self._desk.work, self.bars.text.strip()
        if name == "fix":
            choices = fix_chord(work)
        elif name == "free":
            choices = let_go_of_bars(work, {note.bar for note in work.choices.bound})
        elif name == "let-go" and not text:
            choices = let_go_of_chord(work)
        else:
            bars = read_bars(text, work.problem.progression) if text else (chosen_slot(work).bar,)
            choices = (lock_bars if name == "lock" else let_go_of_bars)(work, bars)
        self._desk.search(choices)
        self.bars.put("")
        self.bars.say("")
