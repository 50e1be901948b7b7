"""What desk 1 shows of what was found, and how soon: the notation first, the rest when it rests."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol
from uuid import uuid4

from harmony.workbench.entering.chords import PlayedChords
from harmony.workbench.later import Later
from harmony.workbench.parts.cards import Cards
from harmony.workbench.parts.controls import Message
from harmony.workbench.parts.guard import Guard
from harmony.workbench.parts.midi_out import MidiOut
from harmony.workbench.parts.player import Player
from harmony.workbench.parts.score import Sheet
from harmony.workbench.progression.alternatives import draw_alternatives, name_alternatives
from harmony.workbench.progression.opening import QUARTERS_PER_MINUTE
from harmony.workbench.progression.picture import Drawing
from harmony.workbench.progression.presenter import (
    dearest_slot,
    present_alternatives,
    present_result,
    present_sheet,
)
from harmony.workbench.progression.tune import work_to_tune
from harmony.workbench.progression.work import Work
from harmony.workbench.spacing.view import Scene, SpacingPanel

TELLING_SECONDS = 0.03  # after what is looked at is sent: the rest must not hold it up
SETTLING_SECONDS = 0.08  # after those, before the alternatives are sought
DRAWING_SECONDS = 0.05  # after those, before they are drawn small


class Desk(Protocol):
    """What showing asks of the desk it belongs to."""

    work: Work
    played: PlayedChords

    @property
    def is_searching(self) -> bool:
        """Tell whether what is shown is not the last word yet."""

    def come_to_rest(self) -> None:
        """Find what was left for when the desk rests."""


class Panel(Protocol):
    """A part of the desk that tells more of what is shown."""

    def follow(self, work: Work) -> None:
        """Show what belongs to it."""


class Showing:
    """The notation and all that tells of it.

    ``panels`` follow once the desk rests. ``sheet``, ``result``, ``player``, ``midi_out``
    and ``cards`` are laid out, and the box of ``spacing``.
    """

    def __init__(self, desk: Desk, guard: Guard, spacing: SpacingPanel) -> None:
        self._desk = desk
        self.panels: Sequence[Panel] = ()
        self._drawing = Drawing()
        self._later = Later()
        self._tell_later = guard(self._tell)
        self._fill_in_later = guard(self._fill_in)
        self._draw_later = guard(self._draw_alternatives)
        name = uuid4().hex
        self.sheet = Sheet(desk=name)
        self.result = Message()
        self.player = Player(desk=name, quarters_per_minute=QUARTERS_PER_MINUTE)
        self.midi_out = MidiOut(desk=name)
        self.cards = Cards(label="Alternatives")
        self.spacing = spacing
        self.sheet.observe(guard(lambda _change: self.show_first()), names="width")

    # How soon.

    def show(self) -> None:
        """Show everything now."""
        self.paint()
        self._later.cancel()
        self._tell_now()
        self._fill_in()

    def show_first(self) -> None:
        """Show the notation now, and tell the rest once that is out."""
        self.paint()
        self._later.after(TELLING_SECONDS, self._tell_later)

    def show_meanwhile(self) -> None:
        """Show what a search has so far, to be seen and heard."""
        self.paint()
        self._tell_now()
        self._let_sound()

    def look(self) -> None:
        """Tell of another note that is looked at; the notation stays."""
        self._tell_now()
        self._later.after(TELLING_SECONDS, self._fill_in_later)

    def leave_undone(self) -> None:
        """Leave untold what still waits to be."""
        self._later.cancel()

    def _tell(self) -> None:
        self._tell_now()
        self._later.after(SETTLING_SECONDS, self._fill_in_later)

    # What.

    def paint(self) -> None:
        """Show the notation."""
        work = self._desk.work
        self._desk.played.follow(work.problem.progression)
        content = present_sheet(work)
        self.sheet.show(
            picture=self._drawing.draw(work, width=self.sheet.width),
            notes=list(content.notes),
            under=list(content.under),
            chosen=work.choices.chosen,
            label=content.label,
        )

    def _tell_now(self) -> None:
        self.result.say(present_result(self._desk.work, is_searching=self._desk.is_searching))
        self._show_spacing()

    def _fill_in(self) -> None:
        was_whole = self._desk.work.is_whole
        self._desk.come_to_rest()
        work = self._desk.work
        if work.is_whole and not was_whole:
            self.result.say(present_result(work))
        self._let_sound()
        for panel in self.panels:
            panel.follow(work)
        # Last, so that whoever waits for this revision finds everything told.
        with self.cards.hold_sync():
            self.cards.items = present_alternatives(work)
            self.cards.revision = self.sheet.revision
        self._later.after(DRAWING_SECONDS, self._draw_later)

    def _let_sound(self) -> None:
        work = self._desk.work
        self.player.tune = work_to_tune(work)
        self.midi_out.chords = [[p.midi for p in chord] for chord in work.shown.pitches]

    def _draw_alternatives(self) -> None:
        with self.cards.hold_sync():
            self.cards.label = name_alternatives(self._desk.work)
            self.cards.pictures = draw_alternatives(self._desk.work)

    def _show_spacing(self) -> None:
        work = self._desk.work
        number, voice = work.choices.chosen or (dearest_slot(work), None)
        slot = work.problem.progression.slots[number]
        seconds = float(slot.duration) * 60.0 / self.player.quarters_per_minute
        self.spacing.show(Scene(work.problem, work.shown, number, voice, seconds))
