"""What is set less often at desk 1: registers, loudness of playback, names of chords."""

from __future__ import annotations

from typing import Protocol

import ipywidgets

from harmony.errors import HarmonyError
from harmony.workbench.parts.controls import Choice
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, complaining, saying
from harmony.workbench.parts.layout import row
from harmony.workbench.parts.players import Players
from harmony.workbench.progression.naming import HIDDEN, SHOWN, name_at, read_name
from harmony.workbench.progression.players import present_players, read_register
from harmony.workbench.progression.presenter import lifted_message
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import Work


class Desk(Protocol):
    """What the details ask of the desk they belong to."""

    work: Work

    @property
    def choices(self) -> Choices:
        """Give what is set."""

    def search(self, choices: Choices) -> None:
        """Voice anew with other choices."""

    def show(self, choices: Choices) -> None:
        """Show what there is with other choices; nothing is searched for."""


class Details:
    """Two groups of controls; ``box`` is what is laid out on the desk."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._named: tuple[object, str] | None = None  # the chord in the box, and its name
        self._refused: Choices | None = None  # what was set when a register was refused
        self.players = Players()
        self.names = Choice(label="Chord names", options=[SHOWN, HIDDEN], value=SHOWN)
        self.name = Entry(label="Name of the chosen chord (empty: the usual one)")
        self.box = ipywidgets.VBox([self.players, row(self.names, self.name, name="hw-naming")])
        self.box.add_class("hw-folded")
        guard, naming = Guard(self._report_players), Guard(complaining(self.name))
        self.players.on_register(guard(self._take_register))
        self.players.on_loudness(guard(self._take_loudness))
        self.names.observe(naming(lambda change: self._take_hiding(change.new)), names="value")
        self.name.on_submit(naming(self._take_name))

    def follow(self, work: Work) -> None:
        """Show what the desk has set."""
        choices = work.choices
        if self._refused not in (None, choices):
            self._refused = None
            self.players.say("")
        self.players.items = present_players(choices, work.problem.ensemble)
        self.names.value = HIDDEN if choices.hides_names else SHOWN
        if choices.chosen is None:
            return
        slot = work.problem.progression.slots[choices.chosen[0]]
        named = (slot.bar, slot.beat), name_at(choices, slot.bar, slot.beat)
        if named != self._named:  # else what is being typed would be lost
            self._named = named
            self.name.put(named[1])

    def _take_register(self, name: str, low: str, high: str) -> None:
        before, players = self._desk.choices, self._desk.work.problem.ensemble
        voice = players.voices[players.voice_index(name)]
        self._desk.search(before.with_register(name, read_register(voice, low, high)))
        after, self._refused = self._desk.choices, None
        self.players.items = present_players(after, players)
        self.players.say(lifted_message(before, after))

    def _take_loudness(self, name: str, decibels: int) -> None:
        self._desk.show(self._desk.choices.with_loudness(name, decibels))

    def _take_hiding(self, shown: str) -> None:
        choices = self._desk.choices
        if choices.hides_names is not (shown == HIDDEN):
            self._desk.show(choices.with_names_hidden(hides=shown == HIDDEN))

    def _take_name(self, text: str) -> None:
        work = self._desk.work
        if work.choices.chosen is None:
            raise HarmonyError("No chord is chosen to be named; choose one of its notes first.")
        slot = work.problem.progression.slots[work.choices.chosen[0]]
        self._desk.show(self._desk.choices.with_name(slot.bar, slot.beat, read_name(text)))
        self.name.say("")

    def _report_players(self, fault: Exception, *, unforeseen: bool) -> None:
        saying(self.players)(fault, unforeseen=unforeseen)
        self._refused = self._desk.choices
        self.follow(self._desk.work)
