"""The desk on the screen: parts laid out, and what the composer does answered."""

from __future__ import annotations

import gc
from dataclasses import replace
from functools import partial

import ipywidgets

from harmony.errors import HarmonyError, TextError
from harmony.instruments.catalogue import ensemble_names
from harmony.pitch.spelling import Pitch
from harmony.sketchbook import Sketchbook
from harmony.workbench.entering.chords import PlayedChords
from harmony.workbench.folder import find_folder
from harmony.workbench.history import History
from harmony.workbench.parts.background import LongSearch
from harmony.workbench.parts.controls import Actions
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, Reporter, saying, tell_fault
from harmony.workbench.parts.layout import button, row
from harmony.workbench.progression.billing import Billing
from harmony.workbench.progression.details import Details
from harmony.workbench.progression.ensembles import EnsembleChoice
from harmony.workbench.progression.fixing import Fixing
from harmony.workbench.progression.fromscore import ChordsOfScore
from harmony.workbench.progression.giving import Giving
from harmony.workbench.progression.holding import find_note, pin_chord, refuse_locked
from harmony.workbench.progression.opening import opening_choices
from harmony.workbench.progression.presenter import lifted_message
from harmony.workbench.progression.ruling import Ruling
from harmony.workbench.progression.searching import (
    BEGINNING,
    find_in_stages,
    tell_progress,
)
from harmony.workbench.progression.shelf import Shelf
from harmony.workbench.progression.showing import Showing
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.weighing import Weighing
from harmony.workbench.progression.work import (
    Work,
    find_alternatives,
    find_best,
    lift_what_is_gone,
    prepare_choices,
    takes_long,
)
from harmony.workbench.spacing.view import SpacingPanel

PATIENCE_SECONDS = 0.3  # before a search is spoken of
STILL_BEFORE = "These are the notes of before: others are being looked for, so wait a moment."


class ProgressionDesk:
    """Desk 1. Shown by JupyterLab as the last value of a cell.

    ``history`` holds what is set, ``work`` what was last found; both change only
    when a change succeeded, so a fault leaves the last good result as it is. While a
    long search is on, ``history`` is ahead of ``work``, and goes back if it fails.
    """

    def __init__(
        self, choices: Choices | None = None, *, sketchbook: Sketchbook | None = None
    ) -> None:
        self.sketchbook = sketchbook or Sketchbook(find_folder())
        self.history: History[Choices] = History(choices or opening_choices())
        self.work: Work = find_alternatives(self.history.present)
        self._good = self.history  # as it was when something was last found
        self._build()
        self.screen = self._lay_out()
        self._connect()
        self._show_controls()
        self.showing.show()
        # Nothing the desk stands on is ever garbage; looking it through takes 20 ms of a drag.
        gc.freeze()

    def _build(self) -> None:
        present, below = self.history.present, Guard(self._report_below)
        self.entry = Entry(label="Progression", value=present.text)
        self.ensemble = EnsembleChoice(present.ensemble)
        self.voice_it = Actions(items=[button("voice", "Voice it", first=True)])
        self.played, self.from_score = PlayedChords(self), ChordsOfScore(self, self.sketchbook)
        self.spacing = SpacingPanel(ensembles=ensemble_names(), pin_chord=self._pin_chord)
        self.showing = Showing(self, below, self.spacing)
        self.sheet, self.result = self.showing.sheet, self.showing.result
        self.player, self.midi_out = self.showing.player, self.showing.midi_out
        self.cards = self.showing.cards
        self.long = LongSearch(
            tell_progress,
            begins=BEGINNING,
            stop="Stop searching",
            patience_seconds=PATIENCE_SECONDS,
        )
        self.actions = Actions()
        self.shelf = Shelf(self, self.sketchbook)
        self.keeping = self.shelf.keeping
        self.weighing = Weighing(self, below)
        self.sliders, self.terms = self.weighing.sliders, self.weighing.terms
        self.manner = self.weighing.manner
        self.billing = Billing(self, self.long, partial(self._go_back, self._report_below))
        self.bill = self.billing.bill
        self.details, self.fixing, self.ruling = Details(self), Fixing(self), Ruling(self)
        self.giving = Giving(self, self.sketchbook)
        self.showing.panels = (
            self.billing, self.details, self.fixing, self.giving, self.ruling
        )  # fmt: skip

    def _lay_out(self) -> ipywidgets.Box:
        screen = ipywidgets.VBox(
            [
                row(self.entry, *self.ensemble.boxes, self.voice_it, name="hw-head"),
                row(self.played.box, self.from_score.box, name="hw-folds"),
                self.sheet,
                self.result,
                self.long.box,
                self.player,
                self.midi_out,
                row(self.shelf.box, self.actions, name="hw-bar"),
                self.sliders,
                row(self.manner, name="hw-line"),
                self.cards,
                self.bill,
                self.fixing.box,
                self.giving.box,
                self.ruling.box,
                self.spacing.box,
                self.details.box,
                self.terms,
            ]
        )
        screen.add_class("hw-desk")
        return screen

    def _connect(self) -> None:
        beside, below = Guard(self._report_beside), Guard(self._report_below)
        self._voice_text = beside(self._voice)
        self.entry.on_submit(self._voice_text)
        self.voice_it.on_press(beside(lambda _name: self._voice(self.entry.text)))
        self.ensemble.on_change(beside(self._take_ensemble))
        self.sheet.on_note(below(self._take_note))
        self.cards.on_press(below(self._take_letter))
        self.bill.on_press(below(self._take_candidate))
        self.actions.on_press(below(self._take_action))

    # What the composer does.

    def _voice(self, text: str) -> None:
        before = self.history.present
        self._search(before.with_text(text), always=True, report=self._report_beside)
        self.entry.say(lifted_message(before, self.history.present))

    def _take_ensemble(self, name: str) -> None:
        before = self.history.present
        if name != before.ensemble:
            self._search(before.with_ensemble(name), report=self._report_beside)
            self.entry.say(lifted_message(before, self.history.present))

    @property
    def choices(self) -> Choices:
        """Give what is set, found or not."""
        return self.history.present

    @property
    def _is_behind(self) -> bool:
        """Tell whether what is shown is of other chords or players than what is set."""
        return prepare_choices(self.choices) is not self.work.problem

    def refuse_if_behind(self) -> None:
        """Refuse what concerns the notes shown while those of other chords are looked for.

        Raises
        ------
        HarmonyError
            If they are.
        """
        if self._is_behind:
            raise HarmonyError(STILL_BEFORE)

    def _take_note(self, action: str, slot: int, voice: int) -> None:
        self.refuse_if_behind()
        choices = self.history.present.with_chosen((slot, voice))
        bar = self.work.problem.progression.slots[slot].bar
        if action == "pin" and bar not in choices.locked:
            pin = find_note(self.work, slot, voice)
            has_it = pin.place in {other.place for other in choices.pins}
            choices = choices.without_pin(pin) if has_it else choices.with_pin(pin)
            self._search(choices)
        else:
            self.history, self._good = self.history.look(choices), self._good.look(choices)
            self.work = replace(self.work, choices=choices)
            self.showing.look()
            if action == "pin":
                refuse_locked(choices, bar)

    def _take_candidate(self, place: int) -> None:
        chosen, pitch = self.history.present.chosen, self.billing.pitch_at(place)
        if chosen is None or pitch is None:
            return
        self.refuse_if_behind()
        pin = replace(find_note(self.work, *chosen), pitch=pitch)
        choices = self.history.present
        choices = choices.without_pin(pin) if pin in choices.pins else choices.with_pin(pin)
        self._search(choices)

    def _pin_chord(self, slot: int, pitches: tuple[Pitch, ...]) -> None:
        self.refuse_if_behind()
        self._search(pin_chord(self.work, slot, pitches))

    def search(self, choices: Choices, *, stroke: str = "") -> None:
        """Voice anew with other choices; those of one ``stroke`` are undone together."""
        self._search(choices, stroke=stroke)

    def show(self, choices: Choices) -> None:
        """Show what there is with other choices; nothing is searched for."""
        self.refuse_if_behind()
        self.history = self.history.change(choices)
        if not self.long.is_running:
            self._good = self.history
        self.work = replace(self.work, choices=choices)
        self.showing.show()

    def go_to(self, choices: Choices) -> None:
        """Show what was kept; Undo leads back."""
        self._return_to(self.history.change(choices))

    def _take_letter(self, letter: str) -> None:
        if not self.work.is_whole:
            raise HarmonyError("The alternatives are still looked for; wait for them, or stop.")
        self.show(self.history.present.with_letter(letter))

    def _take_action(self, name: str) -> None:
        if name == "undo":
            self._return_to(self.history.undo())
        elif name == "redo":
            self._return_to(self.history.redo())

    # What chords played in ask of the desk.

    def written_text(self) -> str:
        """Give the text in the box, voiced or not."""
        return self.entry.text

    def chosen_chord(self) -> int | None:
        """Give the number of the chosen chord, if the box still has the text it is from."""
        present = self.history.present
        if present.chosen is None or present.text != self.entry.text:
            return None
        return present.chosen[0]

    def put_text(self, text: str, chosen: int | None) -> None:
        """Put another text in the box and voice it; ``chosen`` is the chord to choose then."""
        self.entry.put(text)
        self._voice_text(text)
        if chosen is None or self.choices.text != text:
            return
        if self._is_behind:
            self.history = self.history.look(self.choices.with_chosen((chosen, 0)))
        else:
            self._take_note("choose", chosen, 0)

    # What follows from it.

    def _search(
        self,
        choices: Choices,
        *,
        stroke: str = "",
        always: bool = False,
        report: Reporter | None = None,
    ) -> None:
        choices = lift_what_is_gone(choices)
        if choices == self.history.present and not always:
            return
        history = self.history.change(choices, stroke=stroke)
        if takes_long(choices):
            self._search_beside(history, report or self._report_below)
            return
        self.work = find_best(choices)
        self._settle(history)
        self.showing.show_first()

    def _search_beside(self, history: History[Choices], report: Reporter) -> None:
        """Search in a thread; what is set is ahead of what was found until then."""
        self.history = history
        if not self._is_behind:
            self.work = replace(self.work, choices=history.present)
        self.showing.leave_undone()  # what waits to be told belongs to what is given up
        self.long.run(
            lambda watch: find_in_stages(history.present, watch, self._show_first),
            self._show_found,
            partial(self._go_back, report),
        )
        self._show_actions()

    def _settle(self, history: History[Choices]) -> None:
        """Something was found for what is set."""
        self.long.give_up()
        self.history = self._good = history

    def _take_found(self, work: Work) -> None:
        # What does not decide the music (a letter, a name) may be another since.
        self.work = replace(work, choices=self.history.present)
        self._good = self.history

    def _show_first(self, work: Work) -> None:
        self._take_found(work)
        self.showing.show_meanwhile()

    def _show_found(self, work: Work) -> None:
        self._take_found(work)
        self.showing.show()

    def _go_back(self, report: Reporter, fault: Exception, *, unforeseen: bool) -> None:
        self.history = self._good
        if not self._is_behind:
            self.work = replace(self.work, choices=self.choices)
        self._show_actions()
        report(fault, unforeseen=unforeseen)

    def _return_to(self, history: History[Choices]) -> None:
        before, is_long = self.history.present, takes_long(history.present)
        if is_long:
            self._search_beside(history, self._report_below)
        else:
            self.work = find_alternatives(history.present)
            self._settle(history)
        # What is typed but not yet voiced stays, unless the text itself goes back.
        if history.present.text != before.text:
            self.entry.put(history.present.text)
        self.entry.say("")
        self.spacing.forget()
        self._show_controls()
        if not is_long:
            self.showing.show()

    @property
    def is_searching(self) -> bool:
        """Tell whether what is shown is not the last word yet."""
        return self.long.is_running and not self.work.is_whole

    def come_to_rest(self) -> None:
        """Find the alternatives where that is done in a moment, and tell what can be undone."""
        if not self.work.is_whole and not takes_long(self.work.choices):
            self.work = find_alternatives(self.work.choices)
        self._show_actions()

    # What is shown.

    def _show_actions(self) -> None:
        self.actions.items = [
            button("undo", "Undo", enabled=bool(self.history.past)),
            button("redo", "Redo", enabled=bool(self.history.future)),
        ]

    def _show_controls(self) -> None:
        self.ensemble.value = self.choices.ensemble
        self.weighing.follow(self.choices)

    def _report_beside(self, fault: Exception, *, unforeseen: bool) -> None:
        span = (fault.start, fault.end) if isinstance(fault, TextError) else None
        self.entry.complain(tell_fault(fault, unforeseen=unforeseen), span=span)
        self._show_controls()

    def _report_below(self, fault: Exception, *, unforeseen: bool) -> None:
        saying(self.result)(fault, unforeseen=unforeseen)
        self._show_controls()

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.screen)
