"""The theme desk on the screen: parts laid out, and what the composer does answered."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from typing import Any
from uuid import uuid4

import ipywidgets

from harmony.pitch import Theme
from harmony.scoring.build import theme_to_score
from harmony.sketchbook import Sketchbook
from harmony.themes.operations import list_examples
from harmony.workbench.entering.tune import PlayedMelody
from harmony.workbench.folder import find_folder
from harmony.workbench.history import History
from harmony.workbench.keeping import keep_melody, say_kept
from harmony.workbench.later import Later
from harmony.workbench.parts.background import LongSearch
from harmony.workbench.parts.controls import Actions, Choice, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, complaining, saying
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.offers import Offers
from harmony.workbench.parts.player import Player
from harmony.workbench.parts.score import Sheet
from harmony.workbench.scores import list_themes, open_source
from harmony.workbench.theme.asking import Asking
from harmony.workbench.theme.beside import Beside
from harmony.workbench.theme.charting import Charting
from harmony.workbench.theme.choosing import Choosing
from harmony.workbench.theme.mends import Mends
from harmony.workbench.theme.picture import draw_result, draw_small
from harmony.workbench.theme.presenter import (
    USUAL_SPEED,
    present_fault_marks,
    present_notes,
    present_portrait,
    present_share,
    present_tune,
)
from harmony.workbench.theme.result import Result, possibility_to_result, theme_to_result
from harmony.workbench.theme.shelf import Shelf
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.work import LETTERS, Work, do_work, say_taken, takes_long
from harmony.workbench.words import write_signs

FIRST_THEME = "Shuttle"
TELLING_SECONDS = 0.03  # after the notation is sent: what belongs to it must not hold it up
MENDING_SECONDS = 0.05  # after that, before mendings are sought


class ThemeDesk:
    """Desk 2. Shown by JupyterLab as the last value of a cell."""

    def __init__(self, choices: Choices | None = None) -> None:
        self.history: History[Choices] = History(choices or Choices(FIRST_THEME))
        self.work: Work = do_work(self.history.present)
        self.sketchbook = Sketchbook(find_folder())
        self._painted: tuple[Theme, int] | None = None  # what the upper notation was drawn from
        self._later = Later()
        self._build()
        self.screen = self._lay_out()
        self._connect()
        self._paint()
        self._tell()

    def _build(self) -> None:
        above, below = uuid4().hex, uuid4().hex
        self.choosing = Choosing(self, Guard(self._report_above))
        self.played = PlayedMelody(self._take_played)
        self.tune = Sheet(desk=above)
        self.portrait = Message()
        self.player = Player(desk=above)
        self.beside = Beside()
        self.offers = Offers(label="What it can become")
        self.examples = Choice(label="Operations", options=list(list_examples()))
        self.operation = Entry(label="Do to the theme")
        self.do_it = Actions(items=[button("do", "Do it", first=True)])
        self.asking = Asking(list(list_themes()))
        self.asked = Message()
        self.finds = Offers(label="Found")
        self.charting = Charting()
        self.long = LongSearch(present_share, begins=present_share(0.0))
        self.opened = Sheet(desk=below)
        self.result = Message()
        self.second_player = Player(desk=below)
        self.actions = Actions()
        self.shelf = Shelf(self, self.sketchbook, name=self.work.theme.title or FIRST_THEME)
        self.mends = Mends()

    def _lay_out(self) -> ipywidgets.Box:
        screen = ipywidgets.VBox(
            [
                self.choosing.box,
                self.long.box,
                self.played.box,
                self.tune,
                self.portrait,
                self.player,
                self.beside.box,
                self.offers,
                row(self.examples, self.operation, self.do_it, name="hw-top"),
                self.asking.box,
                self.asked,
                self.finds,
                self.charting.box,
                self.opened,
                self.result,
                row(self.second_player, self.actions, name="hw-bar"),
                self.shelf.box,
                self.mends.bill,
            ]
        )
        screen.add_class("hw-desk")
        return screen

    def _connect(self) -> None:
        guard, beside = Guard(self._report), Guard(complaining(self.operation))
        self._tell_later = guard(self._tell)
        self._seek_mends_later = guard(lambda: self.mends.seek(self.work))
        self.offers.on_press(guard(self._take_offer))
        self.charting.on_place(guard(self._take_place))
        self.charting.on_settings(guard(self.change))
        self.asking.on_ask(Guard(saying(self.asked))(self._ask))
        self.finds.on_press(guard(self._take_find))
        self.examples.observe(guard(self._take_example), names="value")
        self.operation.on_submit(beside(self._operate))
        self.do_it.on_press(beside(lambda _name: self._operate(self.operation.value)))
        self.mends.on_press(guard(partial(self._change, Choices.with_operation)))
        self.actions.on_press(guard(self._take_action))
        for sheet in (self.tune, self.opened):
            sheet.observe(guard(lambda _change: self._paint()), names="width")

    # What the composer does.

    @property
    def choices(self) -> Choices:
        """Give what is set."""
        return self.history.present

    def change(self, choices: Choices) -> None:
        """Find and show what other choices ask for; a fault leaves everything as it was."""
        if choices == self.choices:
            return
        if takes_long(choices):
            self.long.run(
                lambda watch: do_work(choices, watch),
                lambda work: self._arrive(choices, work),
                self._report_above,
            )
        else:
            self._arrive(choices, do_work(choices))

    def _change(self, transition: Callable[..., Choices], *arguments: Any) -> None:
        self.change(transition(self.choices, *arguments))

    def _arrive(self, choices: Choices, work: Work) -> None:
        self.choosing.told.say("")
        if choices.source != self.choices.source:
            self.shelf.keeping.name = work.theme.title or choices.source
        self.work = work
        self.history = self.history.change(choices)
        self._show()

    def list_sources(self) -> None:
        """List the themes that can be chosen now."""
        self.choosing.list_sources()

    def open_score(self, name: str) -> None:
        """Make the score of this file name the theme."""
        self._change(Choices.with_source, name)

    def _take_played(self, theme: Theme) -> None:
        """Keep a melody that was played in, and make it the theme."""
        keep = keep_melody(self.sketchbook, theme_to_score(theme), "played in")
        self.shelf.look()
        self.open_score(keep.score_path.name)
        self.shelf.keeping.say(say_kept(keep))

    def _ask(self) -> None:
        self.asked.say("")
        self._change(Choices.with_search, self.asking.read())

    def _take_offer(self, action: str, letter: str) -> None:
        self._open(action, self.choices.with_letter(letter))

    def _take_find(self, action: str, number: str) -> None:
        self._open(action, self.choices.with_found(int(number)))

    def _take_place(self, cell: tuple[int, Fraction]) -> None:
        self._open("open", self.choices.with_cell(cell))

    def _open(self, action: str, choices: Choices) -> None:
        """Show something under the theme where it can be seen, and play it if that was asked."""
        self.change(choices)
        self.opened.reveal()
        if action == "play":
            self._tell()  # its tune may still be on its way
            self.second_player.start()

    def _take_example(self, change: Any) -> None:
        self.operation.value = change.new

    def _operate(self, text: str) -> None:
        self._change(Choices.with_operation, text.strip())
        self.operation.say("")

    def _take_action(self, name: str) -> None:
        if name == "take":
            self._change(Choices.with_operation, self.work.opened.operation)
            return
        history = self.history.undo() if name == "undo" else self.history.redo()
        self.work = do_work(history.present)
        self.history = history
        self._show()

    # What is shown.

    def _show_settings(self) -> None:
        self.choosing.show(self.choices)
        self.asking.show(self.choices.search, list(list_themes()))
        self.charting.show(self.choices, self.work.canons)

    def _show(self) -> None:
        """Show the music at once, and a moment later what belongs to it."""
        self.mends.forget()
        self._paint()
        self._later.after(TELLING_SECONDS, self._tell_later)

    def _paint(self) -> None:
        opened, theme = self.work.opened, self.work.theme
        self._draw(self.opened, opened, f"{opened.sentence} Arrow keys go about.")
        if self._painted != (theme, self.tune.width):
            said = "The theme. Arrow keys go from note to note."
            self._draw(self.tune, theme_to_result(theme), said)
            self._painted = theme, self.tune.width
        self.result.say(write_signs(opened.sentence))

    def _draw(self, sheet: Sheet, result: Result, label: str) -> None:
        sheet.show(
            picture=draw_result(result, width=sheet.width),
            notes=present_notes(result),
            under=present_fault_marks(result),
            chosen=None,
            label=label,
        )

    def _tell(self) -> None:
        self._show_settings()
        self._tell_theme()
        self._tell_offers()
        self._let_sound()
        self.actions.items = [
            button("undo", "Undo", enabled=bool(self.history.past)),
            button("redo", "Redo", enabled=bool(self.history.future)),
            button("take", "Make it the theme", enabled=bool(self.work.opened.operation)),
        ]
        self.mends.tell(self.work)
        self._later.after(MENDING_SECONDS, self._seek_mends_later)

    def _tell_theme(self) -> None:
        """Say what the theme is, and show what it was before anything was done to it."""
        present, original, said = self.choices, None, say_taken(self.choices)
        if present.operations:
            original = open_source(present.source, present.part, present.bars)
            said = f"{present.source}, {', then '.join(present.operations)}. "
        self.beside.show(original, present.source)
        self.portrait.say(said + present_portrait(self.work.theme))

    def _tell_offers(self) -> None:
        present = self.choices
        self.offers.items = [
            _offer(letter, possibility_to_result(one), present.letter)
            for letter, one in zip(LETTERS, self.work.possibilities, strict=False)
        ]
        shown = str(present.found or "")
        self.finds.items = [
            _offer(str(number), one, shown) for number, one in enumerate(self.work.finds, start=1)
        ]
        self.finds.label = f"Found: {present.search.kind}" if present.search else ""

    def _let_sound(self) -> None:
        speed = self.work.theme.quarters_per_minute or USUAL_SPEED
        for player, result in (
            (self.player, theme_to_result(self.work.theme)),
            (self.second_player, self.work.opened),
        ):
            player.quarters_per_minute = speed
            player.tune = present_tune(result)

    def _report(self, fault: Exception, *, unforeseen: bool) -> None:
        self._show_settings()
        saying(self.result)(fault, unforeseen=unforeseen)

    def _report_above(self, fault: Exception, *, unforeseen: bool) -> None:
        self._show_settings()
        saying(self.choosing.told)(fault, unforeseen=unforeseen)

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.screen)


def _offer(letter: str, result: Result, shown: str) -> dict[str, Any]:
    return {
        "letter": letter,
        "sentence": write_signs(result.sentence),
        "picture": draw_small(result),
        "shown": letter == shown,
    }
