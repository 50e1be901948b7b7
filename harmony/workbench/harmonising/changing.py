"""One chord looked at and changed: fixed, forbidden, locked; split, joined; two ideas joined."""

from __future__ import annotations

import re
from collections.abc import Callable

import ipywidgets

from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.workbench.harmonising.grid import build_grid, say_key, write_figure
from harmony.workbench.harmonising.presenter import chosen_cell, slot_at_cell
from harmony.workbench.harmonising.state import Again, Choices, Joint
from harmony.workbench.harmonising.words import list_costs, say_bars, say_place
from harmony.workbench.harmonising.work import (
    LETTERS,
    Work,
    chords_to_fixes,
    place_text,
)
from harmony.workbench.parts.cards import Bill
from harmony.workbench.parts.controls import Actions, Choice
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.layout import button, row

Make = Callable[[Work], Choices]
_HINT = "Choose a figure under the tune to see what the others have at its place."
_OTHERS = "Chords found here; one pressed is fixed"
_AGAIN = {"closer": "Closer to {}", "less": "Less like {}", "here": "{} with other chords"}
_BARS = re.compile(r"\s*(\d+)\s*(?:[-\u2013]\s*(\d+))?\s*")
_FREE = "Nothing is charged here."


class Changing:
    """The lines under the alternatives. ``box`` is what is laid out there."""

    def __init__(self) -> None:
        self._work: Work | None = None
        self.chord = Entry(label="Chord at the chosen place")
        self.fixing = Actions()
        self.nearness = Actions()
        self.here = Entry(label="Here: bars", value="1")
        self.first = Choice(label="Bars of")
        self.bar = Choice(label="before bar")
        self.second = Choice(label="joined to")
        self.joining = Actions(items=[button("join-ideas", "Join")])
        self.bill = Bill(hint=_HINT, notes_heading=_OTHERS)
        self._others: tuple[str, ...] = ()
        self.box = ipywidgets.VBox(
            [
                row(self.chord, self.fixing, name="hw-top"),
                row(self.nearness, self.here, name="hw-top"),
                row(self.first, self.bar, self.second, self.joining, name="hw-line"),
                self.bill,
            ]
        )

    def on_change(self, callback: Callable[[Make], object]) -> None:
        """Call back with what makes the new choices out of the present work."""
        for actions in (self.fixing, self.nearness, self.joining):
            actions.on_press(lambda name: callback(lambda work: self._make(name, work)))
        self.here.on_submit(lambda _text: callback(lambda work: self._ask_again("here", work)))
        self.chord.on_submit(lambda _text: callback(lambda work: self._make("fix", work)))
        self.bill.on_press(lambda place: callback(lambda work: self._take_other(place, work)))

    def complain(self, sentence: str) -> None:
        """Say what is wrong, beside the box."""
        self.chord.complain(sentence)

    # What is pressed.

    def _make(self, name: str, work: Work) -> Choices:
        choices = work.choices
        if name == "join-ideas":
            return self._join_ideas(work)
        if name in _AGAIN:
            return self._ask_again(name, work)
        if name == "free":
            places = {text.partition("=")[0].rstrip("!") for text in choices.question.fixes}
            return choices.without_fixes(*places)
        return self._make_at_place(name, work)

    def _make_at_place(self, name: str, work: Work) -> Choices:
        choices, place = work.choices, work.choices.place
        found = chosen_cell(work)
        if place is None or found is None:
            raise HarmonyError("No figure is chosen; click one under the tune.")
        slot = slot_at_cell(work.shown, found[1])
        where = place_text(work.theme, place)
        if name in ("fix", "forbid"):
            chord = self.chord.text.strip()
            if not chord:
                raise HarmonyError("The box is empty; write a chord such as V6 or A7/C#.")
            return choices.with_fixes(f"{where}{'=' if name == 'fix' else '!='}{chord}")
        if name == "lock":
            bar = work.theme.meters.locate(place)[0]
            texts = chords_to_fixes(work, work.shown, frozenset({bar}))
            if not texts:
                raise HarmonyError(f"No chord of {LETTERS[work.number]} begins in bar {bar}.")
            return choices.with_fixes(*texts)
        bar = work.theme.meters.locate(place)[0]
        return choices.without_fixes(where, place_text(work.theme, slot.onset), str(bar))

    def _ask_again(self, name: str, work: Work) -> Choices:
        own = LETTERS[work.number]
        first, last = 0, 0
        where = ""
        if name == "here":
            match = _BARS.fullmatch(self.here.text)
            if match is None:
                raise HarmonyError(
                    f"{self.here.text!r} is not a stretch of bars; write it as 5-8 or 5."
                )
            first, last = int(match[1]), int(match[2] or match[1])
            where = f" in {say_bars(frozenset(range(first, last + 1)))} only"
        about = f"{_AGAIN[name].format(own)}{where}: A is what {own} was."
        return work.choices.with_again(Again(name, work.number + 1, first, last), about=about)

    def _take_other(self, number: int, work: Work) -> Choices:
        """Fix at the chosen place what another alternative has there."""
        if work.choices.place is None or not 0 <= number < len(self._others):
            return work.choices
        where = place_text(work.theme, work.choices.place)
        return work.choices.with_fixes(f"{where}={self._others[number]}")

    def _join_ideas(self, work: Work) -> Choices:
        joint = Joint(
            LETTERS.index(self.first.value) + 1,
            LETTERS.index(self.second.value) + 1,
            int(self.bar.value),
        )
        if len(work.alternatives) == len(LETTERS):
            raise HarmonyError(
                f"No letter after {LETTERS[-1]} is left; undo a joined alternative first."
            )
        return work.choices.with_joint(joint, shown=len(work.alternatives))

    # What is shown.

    def show(self, work: Work) -> None:
        """Show the chosen chord and what can be done with it."""
        self.chord.say("")  # what was refused before is no longer asked
        own = LETTERS[work.number]
        found = chosen_cell(work)
        is_chosen = found is not None
        if found is not None:
            column, cell = found
            slot = slot_at_cell(work.shown, cell)
            key = "" if slot.key is None else f" in {say_key(slot.key)}"
            place = say_place(work.theme, slot.onset)
            self.chord.put(write_chord(slot, work.melody.key))
            self._list(
                f"{own}, {place}: {write_figure(slot)}{key}", list_costs(work.shown, cell.slot)
            )
            self._list_others(work, column)
        else:
            self._list("What a chord costs", [], none="No figure is chosen.")
            self.bill.candidates = []
        fixes = bool(work.choices.question.fixes)
        self.fixing.items = [
            button("fix", "Fix", enabled=is_chosen, about="This chord stays at this place"),
            button("forbid", "Forbid", enabled=is_chosen, about="Not this chord at this place"),
            button("lock", "Lock the bar", enabled=is_chosen),
            button("let-go", "Let go", enabled=is_chosen and fixes),
            button("free", "Let go of all", enabled=fixes),
        ]
        self.nearness.items = [
            button("closer", f"Closer to {own}"),
            button("less", f"Less like {own}"),
            button("here", "Other chords here only"),
        ]
        if is_chosen and work.choices.place is not None:
            self.here.put(str(work.theme.meters.locate(work.choices.place)[0]))
        self._list_joints(work)

    def _list(self, heading: str, lines: list[list[str]], *, none: str = _FREE) -> None:
        with self.bill.hold_sync():
            self.bill.heading, self.bill.lines, self.bill.no_lines = heading, lines, none

    def _list_others(self, work: Work, column: int) -> None:
        """Offer what the alternatives have at the chosen place; pressed, it is fixed there."""
        chords: dict[str, tuple[Slot, list[str]]] = {}
        for letter, one, cells in zip(
            LETTERS, work.alternatives, build_grid(work).rows, strict=False
        ):
            cell = cells[column]
            if cell is not None:
                slot = one.progression.slots[cell.slot]
                text = write_chord(slot, work.melody.key)
                chords.setdefault(text, (slot, []))[1].append(letter)
        self._others = tuple(chords)
        own = LETTERS[work.number]
        with self.bill.hold_sync():
            self.bill.candidates = [
                {
                    "name": write_figure(slot),
                    "spoken": f"Fix {text}",
                    "price": f"in {', '.join(letters)}",
                    "is_now": own in letters,
                    "is_pinned": False,
                }
                for text, (slot, letters) in chords.items()
            ]

    def _list_joints(self, work: Work) -> None:
        letters = list(LETTERS[: len(work.alternatives)])
        bars = [str(bar) for bar in work.theme.meters.bars_through(work.melody.end)][1:]
        for choice in (self.first, self.second):
            choice.options = letters
        self.bar.options = bars
        if self.first.value not in letters:
            self.first.value = letters[0]
        if self.second.value not in letters:
            self.second.value = letters[min(1, len(letters) - 1)]
        if self.bar.value not in bars and bars:
            self.bar.value = bars[len(bars) // 2]


def write_chord(slot: Slot, home: Key) -> str:
    """Write a chord as it can be typed at the desk: its key first where that is not home."""
    if slot.key is None or slot.key == home:
        return slot.figure
    return f"{slot.key}: {slot.figure}"
