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
from harmony.sketchbook import Record, Sketchbook
from harmony.themes.operations import list_examples
from harmony.workbench.entering.tune import PlayedMelody
from harmony.workbench.history import History
from harmony.workbench.later import Later
from harmony.workbench.parts.background import LongSearch
from harmony.workbench.parts.controls import Actions, Choice, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.guard import Guard, complaining, saying
from harmony.workbench.parts.keeping import Keeping
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.offers import Offers
from harmony.workbench.parts.player import Player
from harmony.workbench.parts.score import Sheet
from harmony.workbench.theme.asking import Asking
from harmony.workbench.theme.beside import Beside
from harmony.workbench.theme.charting import Charting
from harmony.workbench.theme.keeping import carry_to_harmonising, keep_result, keep_sheet
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
from harmony.workbench.theme.state import Choices
from harmony.workbench.theme.work import (
    LETTERS,
    Work,
    bars_to_take,
    do_work,
    list_themes,
    name_parts,
    open_score,
    open_source,
    say_taken,
    sketchbook_folder,
    takes_long,
)
from harmony.workbench.words import write_signs

FIRST_THEME = "Shuttle"
TELLING_SECONDS = 0.03  # after the notation is sent: what belongs to it must not hold it up
MENDING_SECONDS = 0.05  # after that, before mendings are sought


class ThemeDesk:
    """Desk 2. Shown by JupyterLab as the last value of a cell."""

    def __init__(self, choices: Choices | None = None) -> None:
        self.history: History[Choices] = History(choices or Choices(FIRST_THEME))
        self.work: Work = do_work(self.history.present)
        self._showing = False  # while the desk itself sets its choices
        self._painted: tuple[Theme, int] | None = None  # what the upper notation was drawn from
        self._later = Later()
        self._build()
        self._connect()
        self._paint()
        self._tell()

    def _build(self) -> None:
        desk, under = uuid4().hex, uuid4().hex
        self.source = Choice(label="Theme", options=list(list_themes()))
        self.part = Choice(label="Part")
        self.bars = Entry(label="Bars (empty: all)", layout={"max_width": "360px"})
        self.played = PlayedMelody(self._take_played)
        self.tune = Sheet(desk=desk)
        self.portrait = Message()
        self.player = Player(desk=desk)
        self.beside = Beside()
        self.offers = Offers(label="What it can become")
        self.opened = Sheet(desk=under)
        self.told = Message()  # of the theme that was chosen
        self.result = Message()
        self.second_player = Player(desk=under)
        self.actions = Actions()
        self.sketchbook = Sketchbook(sketchbook_folder())
        self.keeping = Keeping(name=self.work.theme.title or FIRST_THEME)
        self.keeping.kept = list(self.sketchbook.names())
        self.carrying = Actions(
            items=[button("carry", "Carry to desk 3"), button("sheet", "Write a sheet")]
        )
        self.mends = Mends()
        self.operation = Entry(label="Do to the theme")
        self.examples = Choice(label="Operations", options=list(list_examples()))
        self.do_it = Actions(items=[button("do", "Do it", first=True)])
        self.asking = Asking(list(list_themes()))
        self.asked = Message()
        self.finds = Offers(label="Found")
        self.long = LongSearch(present_share, begins=present_share(0.0))
        self.writing = LongSearch(
            lambda said: f"Writing the sheet: {said}.", begins="Writing the sheet."
        )
        self.charting = Charting()
        self.screen = ipywidgets.VBox(
            [
                row(self.source, self.part, self.bars, name="hw-top"),
                self.told,
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
                row(self.keeping, self.carrying, name="hw-line"),
                self.writing.box,
                self.mends.bill,
            ]
        )
        self.screen.add_class("hw-desk")

    def _connect(self) -> None:
        guard, above = Guard(self._report), Guard(self._report_above)
        self._tell_later = guard(self._tell)
        self._seek_mends_later = guard(lambda: self.mends.seek(self.work))
        beside = Guard(complaining(self.operation))
        self.source.observe(above(self._take_source), names="value")
        self.part.observe(above(self._take_part), names="value")
        self.bars.on_submit(Guard(complaining(self.bars))(self._take_bars))
        self.offers.on_press(guard(self._take_offer))
        self.charting.on_place(guard(self._take_place))
        self.charting.on_settings(guard(self._take_chart))
        self.asking.on_ask(Guard(saying(self.asked))(self._ask))
        self.finds.on_press(guard(self._take_find))
        self.examples.observe(guard(self._take_example), names="value")
        self.operation.on_submit(beside(self._operate))
        self.do_it.on_press(beside(lambda _name: self._operate(self.operation.value)))
        self.mends.on_press(guard(partial(self._change, Choices.with_operation)))
        self.actions.on_press(guard(self._take_action))
        self.keeping.on_press(Guard(saying(self.keeping))(self._take_keeping))
        self.carrying.on_press(Guard(saying(self.keeping))(self._take_carrying))
        self.keeping.on_look(guard(self._look))
        for sheet in (self.tune, self.opened):
            sheet.on_note(guard(lambda *_: None))
            sheet.observe(guard(lambda _change: self._paint()), names="width")

    # What the composer does.

    def _change(self, transition: Callable[..., Choices], *arguments: Any) -> None:
        choices = transition(self.history.present, *arguments)
        if choices == self.history.present:
            return
        if takes_long(choices):
            self.long.run(
                lambda watch: do_work(choices, watch),
                lambda work: self._arrive(choices, work),
                self._report_above,
            )
        else:
            self._arrive(choices, do_work(choices))

    def _arrive(self, choices: Choices, work: Work) -> None:
        self.told.say("")
        if choices.source != self.history.present.source:
            self.keeping.name = work.theme.title or choices.source
        self.work = work
        self.history = self.history.change(choices)
        self._show()

    def _ask(self) -> None:
        self.asked.say("")
        self._change(Choices.with_search, self.asking.read())

    def _take_find(self, action: str, number: str) -> None:
        self._change(Choices.with_found, int(number))
        self.opened.reveal()
        if action == "play":
            self._play()

    def _take_place(self, cell: tuple[int, Fraction]) -> None:
        self._change(Choices.with_cell, cell)
        self.opened.reveal()

    def _take_source(self, change: Any) -> None:
        if not self._showing:
            self._change(Choices.with_source, change.new, bars_to_take(change.new))

    def _take_part(self, change: Any) -> None:
        if not self._showing:
            self._change(Choices.with_part, change.new.partition(":")[0], self.bars.text)

    def _take_bars(self, text: str) -> None:
        self._change(Choices.with_part, self.history.present.part, text.strip())
        self.bars.say("")

    def _take_offer(self, action: str, letter: str) -> None:
        self._change(Choices.with_letter, letter)
        self.opened.reveal()
        if action == "play":
            self._play()

    def _play(self) -> None:
        """Play what is opened, whose tune may still be on its way."""
        self._tell()
        self.second_player.start()

    def _take_chart(self, choices: Choices) -> None:
        self._change(lambda _present: choices)

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

    def _take_keeping(self, action: str, name: str) -> None:
        if action == "open":
            self._look()
            self._change(Choices.with_source, f"{name}.musicxml")
            self.keeping.say(f"{name} is the theme now; Undo leads back.")
            return
        keep = keep_result(self.sketchbook, name, self.work)
        self._look()
        self.keeping.say(f"Kept as {keep.score_path.name} in {self.sketchbook.folder}.")

    def _take_carrying(self, action: str) -> None:
        name, work = self.keeping.name, self.work
        if action == "carry":
            self._told_of_keep(carry_to_harmonising(self.sketchbook, name, work))
            return
        self.writing.run(
            lambda watch: keep_sheet(self.sketchbook, name, work, watch),
            self._told_of_keep,
            saying(self.keeping),
        )

    def _told_of_keep(self, said: str) -> None:
        self._look()
        self.keeping.say(said)

    def _look(self) -> None:
        """List what the sketchbook holds now; other desks keep there too."""
        self.keeping.kept = list(self.sketchbook.names())
        self._showing = True
        self.source.options = list(list_themes())
        self._showing = False

    def _take_played(self, theme: Theme) -> None:
        """Keep a melody that was played in, and make it the theme."""
        record = Record(desk="theme", source="played in", ancestry=("played in",))
        keep = self.sketchbook.keep(theme.title, theme_to_score(theme), record)
        self.keeping.kept = list(self.sketchbook.names())
        self._showing = True
        self.source.options = list(list_themes())
        self._showing = False
        self._change(Choices.with_source, keep.score_path.name)
        self.keeping.say(f"Kept as {keep.score_path.name} in {self.sketchbook.folder}.")

    # What is shown.

    def _show_settings(self) -> None:
        present, themes = self.history.present, list(list_themes())
        self._showing = True
        self.source.options = themes
        self.source.value = present.source
        parts = name_parts(open_score(present.source))
        self.part.options, self.part.value = parts, parts[int(present.part or 1) - 1]
        self.part.layout.display = None if len(parts) > 1 else "none"
        if self.bars.text != present.bars:
            self.bars.put(present.bars)
        self.asking.show(present.search, themes)
        self.charting.show(present, self.work.canons)
        self._showing = False

    def _show(self) -> None:
        """Show the music at once, and a moment later what belongs to it."""
        self.mends.forget()
        self._paint()
        self._later.after(TELLING_SECONDS, self._tell_later)

    def _tell(self) -> None:
        present = self.history.present
        self._show_settings()
        original = None
        if present.operations:
            original = open_source(present.source, present.part, present.bars)
        self.beside.show(original, present.source)
        done = ", then ".join(present.operations)
        self.portrait.say(
            (f"{present.source}, {done}. " if done else say_taken(present))
            + present_portrait(self.work.theme)
        )
        self.offers.items = [
            _offer(letter, possibility_to_result(one), present.letter)
            for letter, one in zip(LETTERS, self.work.possibilities, strict=False)
        ]
        shown = str(present.found or "")
        self.finds.items = [
            _offer(str(number), one, shown) for number, one in enumerate(self.work.finds, start=1)
        ]
        self.finds.label = f"Found: {present.search.kind}" if present.search else ""
        speed = self.work.theme.quarters_per_minute or USUAL_SPEED
        for player, result in (
            (self.player, theme_to_result(self.work.theme)),
            (self.second_player, self.work.opened),
        ):
            player.quarters_per_minute = speed
            player.tune = present_tune(result)
        self.actions.items = [
            button("undo", "Undo", enabled=bool(self.history.past)),
            button("redo", "Redo", enabled=bool(self.history.future)),
            button("take", "Make it the theme", enabled=bool(self.work.opened.operation)),
        ]
        self.mends.tell(self.work)
        self._later.after(MENDING_SECONDS, self._seek_mends_later)

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

    def _report(self, fault: Exception, *, unforeseen: bool) -> None:
        self._show_settings()
        saying(self.result)(fault, unforeseen=unforeseen)

    def _report_above(self, fault: Exception, *, unforeseen: bool) -> None:
        self._show_settings()
        saying(self.told)(fault, unforeseen=unforeseen)

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
