"""The harmonising desk on the screen: parts laid out, and what the composer does answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any
from uuid import uuid4

import ipywidgets

from harmony.errors import HarmonyError
from harmony.harmonising.figures import AS_IDIOM, NUMERALS, SYMBOLS
from harmony.pitch import Theme
from harmony.scoring import Score
from harmony.scoring.build import theme_to_score
from harmony.sketchbook import Sketchbook
from harmony.workbench.entering.tune import PlayedMelody
from harmony.workbench.folder import find_folder
from harmony.workbench.harmonising.asking import Asking
from harmony.workbench.harmonising.changing import Changing
from harmony.workbench.harmonising.counter import say_counter
from harmony.workbench.harmonising.grid import build_grid
from harmony.workbench.harmonising.keeping import USUAL_NAME
from harmony.workbench.harmonising.picture import IN_NOTES, Drawing
from harmony.workbench.harmonising.presenter import (
    present_figures,
    present_offers,
    present_sound,
)
from harmony.workbench.harmonising.reading import TuneReading
from harmony.workbench.harmonising.rhythm import HarmonicRhythm
from harmony.workbench.harmonising.shelf import Shelf
from harmony.workbench.harmonising.state import Choices, Question
from harmony.workbench.harmonising.typed import TypedTune
from harmony.workbench.harmonising.waiting import Waiting, is_long, takes_long
from harmony.workbench.harmonising.weighing import TITLE as WEIGHING
from harmony.workbench.harmonising.weighing import slider_items, steps_of
from harmony.workbench.harmonising.words import say_differences, say_found
from harmony.workbench.harmonising.work import LETTERS, Work, do_work
from harmony.workbench.history import History
from harmony.workbench.keeping import keep_melody, say_kept
from harmony.workbench.later import Later
from harmony.workbench.parts.controls import Actions, Choice, Message, Sliders
from harmony.workbench.parts.guard import Guard, complaining, saying
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.offers import Offers
from harmony.workbench.parts.player import Player
from harmony.workbench.parts.score import Sheet

FIRST_THEME = "Pattern drawer"
RESTING_SECONDS = 0.2  # after a step of a slider, before what takes longer is drawn
USUAL_SPEED = 80.0
WORKING = "Harmonising \u2026"
FIGURE_WORDS = {
    AS_IDIOM: "as the idiom does", NUMERALS: "by roman numerals", SYMBOLS: "by chord symbols"
}  # fmt: skip


class HarmonisingDesk:
    """Desk 3. Shown by JupyterLab as the last value of a cell."""

    def __init__(self, choices: Choices | None = None) -> None:
        self.history: History[Choices] = History(choices or Choices(Question(FIRST_THEME)))
        self.work: Work = do_work(self.history.present)
        self.sketchbook = Sketchbook(find_folder())
        self._showing = False  # while the desk itself sets its choices
        self._later = Later()
        self._build()
        self.screen = self._lay_out()
        self._connect()
        self._show()

    def _build(self) -> None:
        desk = uuid4().hex
        self.asking = Asking()
        self.reading = TuneReading()
        self.typed = TypedTune(self._take_typed)
        self.played = PlayedMelody(self._take_played)
        self.sheet = Sheet(desk=desk)
        self.rhythm = HarmonicRhythm(desk=desk)
        self.found = Message()
        self.waiting = Waiting()
        self.apart = Message()
        self.in_notes = Choice(label="Written out in notes", options=list(IN_NOTES))
        self.figures = Choice(label="Chords named", options=list(FIGURE_WORDS.values()))
        self.drawing = Drawing()
        self.player = Player(desk=desk)
        self.weights = Sliders(title=WEIGHING, items=slider_items(), values={})
        self.actions = Actions()
        self.counter = Actions()
        self.offers = Offers(label="The ideas")
        self.changing = Changing()
        self.shelf = Shelf(self, self.sketchbook)

    def _lay_out(self) -> ipywidgets.Box:
        screen = ipywidgets.VBox(
            [
                self.asking.box,
                self.found,
                self.waiting.box,
                self.sheet,
                self.rhythm.box,
                self.apart,
                row(
                    self.player,
                    self.in_notes,
                    self.figures,
                    self.counter,
                    self.actions,
                    name="hw-line",
                ),
                self.offers,
                self.changing.box,
                self.weights,
                self.shelf.box,
                self.reading.box,
                self.typed.box,
                self.played.box,
            ]
        )
        screen.add_class("hw-desk")
        return screen

    def _connect(self) -> None:
        guard = Guard(self._report)
        self.asking.on_ask(Guard(complaining(self.asking))(self._ask))
        self.asking.source.on_look(guard(self.list_sources))
        self.asking.on_tune(Guard(self._report_choice)(self._take_tune))
        self.in_notes.observe(guard(self._take_notes), names="value")
        self.figures.observe(guard(self._take_figures), names="value")
        self._show_later = guard(self._show)
        self.weights.observe(Guard(self._report_choice)(self._take_steps), names="values")
        self.offers.on_press(guard(self._take_offer))
        self.sheet.on_note(guard(self._take_figure))
        self.sheet.observe(guard(lambda _change: self._paint()), names="width")
        self.changing.on_change(Guard(complaining(self.changing))(self._change_asked))
        self.rhythm.on_change(guard(self._change_asked))
        self.reading.on_change(Guard(complaining(self.reading))(self._change_asked))
        self.actions.on_press(guard(self._take_action))
        self.counter.on_press(guard(lambda _name: self._take_counter()))

    # What the composer does.

    def go_to(self, choices: Choices) -> None:
        """Find what choices ask for and show it; a fault leaves everything as it was."""
        self.waiting.give_up()
        if choices == self.history.present:
            return
        if takes_long(choices, self.work):
            self._find_beside(choices, lambda work: self._arrive(choices, work))
            return
        before = self.found.text
        if choices.question != self.history.present.question:
            self.found.say(WORKING)
        try:
            work = do_work(choices)
        except HarmonyError:
            self.found.say(before)
            raise
        self._arrive(choices, work)

    def _find_beside(self, choices: Choices, done: Callable[[Work], object]) -> None:
        before, asked, had = self.found.text, choices.question, self.work.choices.question
        is_typed = (asked.source, asked.weights) == (had.source, had.weights)
        # What was typed for a question stays to be corrected; a choice made goes back.
        report = self._report if is_typed else self._report_choice

        def leave() -> None:
            self.found.say(before)
            if not is_typed:
                self._show_choices()

        self.found.say(WORKING)
        self.waiting.find(choices, done, report, leave)

    def _arrive(self, choices: Choices, work: Work, stroke: str = "") -> None:
        if work.choices.question.source != self.work.choices.question.source:
            self.shelf.keeping.name = work.theme.title or USUAL_NAME
        self.work = work
        self.history = self.history.change(choices, stroke=stroke)
        # What was said about an earlier state is no longer true.
        self.shelf.keeping.say("")
        self.asking.say("")
        self._show()

    def _ask(self) -> None:
        self.go_to(self.asking.read(self.history.present))
        self.asking.say("")

    def _take_tune(self, source: str, part: str) -> None:
        if not self._showing:
            self.go_to(self.history.present.with_tune(source, "" if part == "1" else part, ""))

    def _take_steps(self, change: Any) -> None:
        """Search with costs that count otherwise; figures at once, the rest when it rests."""
        if self._showing:
            return
        choices = self.history.present
        steps = steps_of(choices.question)
        for name, step in change.new.items():
            if steps.get(name, 0) != step:
                choices = choices.with_weight(name, int(step))
        self.waiting.give_up()
        if choices == self.history.present:
            if self.found.text == WORKING:
                self._show()  # what was looked for is not wanted any more
            return
        stroke = f"{change.owner.stroke}"
        if takes_long(choices, self.work):
            self._find_beside(choices, lambda work: self._arrive(choices, work, stroke))
            return
        self.work = do_work(choices)
        self.history = self.history.change(choices, stroke=stroke)
        picture = self.drawing.change_figures(self.work, width=self.sheet.width)
        if picture is None:
            self._show()
            return
        self._paint(picture)
        self._later.after(RESTING_SECONDS, self._show_later)

    def _take_notes(self, change: Any) -> None:
        if not self._showing:
            choices = self.history.present.with_notes(change.new)
            self.history = self.history.look(choices)
            self.work = replace(self.work, choices=choices)
            self._paint()

    def _take_figures(self, change: Any) -> None:
        if not self._showing:
            chosen = next(name for name, words in FIGURE_WORDS.items() if words == change.new)
            self.history = self.history.look(self.history.present.with_figures(chosen))
            self.work = do_work(self.history.present)
            self._show()

    def _take_counter(self) -> None:
        """Write a counter-melody to the tune, or take it away again."""
        has_counter = not self.work.choices.has_counter
        self.history = self.history.change(
            self.history.present.with_counter(has_counter=has_counter)
        )
        self.work = do_work(self.history.present)
        self._show()

    def _take_offer(self, action: str, letter: str) -> None:
        """Show an alternative; where something plays already, go on from the same place."""
        starts = action == "play" and not self.player.playing
        choices = self.history.present.with_shown(LETTERS.index(letter))

        def show(work: Work) -> None:
            self._look(work.choices)
            if starts:
                self.player.start()

        self.waiting.give_up()
        if is_long(self.work) and choices.shown != self.work.number:
            self._find_beside(choices, show)
        else:
            show(replace(self.work, choices=choices))

    def _take_figure(self, _action: str, column: int, voice: int) -> None:
        place = build_grid(self.work).onsets[column]
        shown = voice - 1 if voice else None
        self._look(self.history.present.with_place(place, shown=shown))

    def _look(self, choices: Choices) -> None:
        """Look at another alternative or place of the same answers."""
        had = self.work.number
        self.history = self.history.look(choices)
        self.work = replace(self.work, choices=choices)
        if self.work.number == had:
            self.changing.show(self.work)
            self.rhythm.show(self.work)
        else:
            self._show()

    def _change_asked(self, make: Callable[[Work], Choices]) -> None:
        choices = make(self.work)
        if choices.question == self.history.present.question:
            self._look(choices)
        else:
            self.go_to(choices)

    def _take_action(self, name: str) -> None:
        self.waiting.give_up()
        history = self.history.undo() if name == "undo" else self.history.redo()
        self.work = do_work(history.present)
        self.history = history
        self._show()

    def list_sources(self) -> None:
        """List the themes that can be chosen now."""
        self._showing = True
        self.asking.list_sources()
        self._showing = False

    def _take_played(self, theme: Theme) -> None:
        """Keep a melody that was played in, and make it the tune."""
        self._make_it_the_tune(theme_to_score(theme), "played in")

    def _take_typed(self, score: Score) -> None:
        """Keep a melody that was typed, and make it the tune."""
        self._make_it_the_tune(score, "typed")

    def _make_it_the_tune(self, score: Score, how: str) -> None:
        keep = keep_melody(self.sketchbook, score, how)
        self.shelf.look()
        try:
            self.go_to(self.history.present.with_source(keep.score_path.name))
        finally:
            self.shelf.keeping.say(say_kept(keep))

    # What is shown.

    def _show_choices(self) -> None:
        """Set every control to what is answered."""
        self._showing = True
        self.asking.show(self.work)
        self.in_notes.value = self.work.choices.in_notes
        self.figures.value = FIGURE_WORDS[self.work.choices.figures]
        self.weights.values = steps_of(self.work.choices.question)
        self._showing = False

    def _show(self) -> None:
        self._show_choices()
        self._later.cancel()
        self._paint()
        told = self.work.choices.about
        self.found.say(f"{told} {say_found(self.work)}".strip())
        self.apart.say(f"{say_counter(self.work)} {say_differences(self.work)}".strip())
        self.shelf.carried.suggest(self.work.choices.question.given)
        self.offers.items = present_offers(self.work)
        self.player.quarters_per_minute = self.work.theme.quarters_per_minute or USUAL_SPEED
        self.player.tune = present_sound(self.work)
        self.changing.show(self.work)
        self.reading.show(self.work)
        has_counter = self.work.choices.has_counter
        words = "Take the counter-melody away" if has_counter else "Write a counter-melody"
        self.counter.items = [button("counter", words)]
        self.actions.items = [
            button("undo", "Undo", enabled=bool(self.history.past)),
            button("redo", "Redo", enabled=bool(self.history.future)),
        ]

    def _paint(self, picture: str | None = None) -> None:
        place = self.work.choices.place
        column = None if place is None else build_grid(self.work).column(place)
        letters = LETTERS[: len(self.work.alternatives)]
        self.sheet.show(
            picture=picture or self.drawing.draw(self.work, width=self.sheet.width),
            notes=present_figures(self.work),
            under=[],
            chosen=None if column is None else (column, self.work.number + 1),
            label=f"The tune, and under it the chords of {letters[0]} to {letters[-1]}."
            " Left and right go from chord to chord, up and down between the rows.",
        )
        self.rhythm.show(self.work)

    def _report(self, fault: Exception, *, unforeseen: bool) -> None:
        saying(self.found)(fault, unforeseen=unforeseen)

    def _report_choice(self, fault: Exception, *, unforeseen: bool) -> None:
        self._report(fault, unforeseen=unforeseen)
        self._show_choices()

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.screen)
