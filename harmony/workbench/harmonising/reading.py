"""What was read in the tune, behind a fold: phrases and repetitions shown and corrected."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any
from uuid import uuid4

from harmony.errors import HarmonyError
from harmony.harmonising.melody import Melody
from harmony.scoring import Direction, Score
from harmony.scoring.build import theme_to_score
from harmony.workbench.harmonising.grid import say_key
from harmony.workbench.harmonising.state import Choices
from harmony.workbench.harmonising.tune import SEQUENCE, find_repeats, list_repeats, read_repeat
from harmony.workbench.harmonising.words import say_place, say_repeat
from harmony.workbench.harmonising.work import Work
from harmony.workbench.page import page_units
from harmony.workbench.parts.controls import Actions, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, complaining
from harmony.workbench.parts.layout import button, row
from harmony.workbench.parts.score import Sheet
from harmony.workbench.parts.ticks import Ticks
from harmony.workbench.words import speak_pitch
from harmony.writing.engraving import engrave

TITLE = "The tune: phrases and repetitions"
LABEL = "The tune as it is read. Arrow keys go from note to note; Enter ends a phrase there or not."
_NONE = "Nothing comes again in this tune."
Make = Callable[[Work], Choices]


class TuneReading:
    """The fold. ``box`` is what is laid out on the desk."""

    def __init__(self) -> None:
        self._work: Work | None = None
        self._chosen: int | None = None
        self.sheet = Sheet(desk=uuid4().hex)
        self.actions = Actions()
        self.told = Message()
        self.repeats = Ticks(label="What comes again, ticked where it binds the chords", none=_NONE)
        self.again = Entry(label="Bars that come again, such as 1-2 in 5")
        self.adding = Actions(items=[button("add", "Add")])
        folded = Folded(
            TITLE,
            self.sheet,
            self.told,
            self.actions,
            self.repeats,
            row(self.again, self.adding, name="hw-top"),
        )
        self.fold, self.box = folded.fold, folded.box

    def on_change(self, callback: Callable[[Make], object]) -> None:
        """Call back with what makes the new choices out of the present work."""
        guard = Guard(complaining(self))
        self.fold.observe(guard(lambda _change: self._show()), names="is_open")
        self.sheet.observe(guard(lambda _change: self._paint()), names="width")
        self.sheet.on_note(
            guard(lambda action, note, _voice: self._take_note(action, note, callback))
        )
        self.actions.on_press(lambda name: callback(lambda work: self._make(name, work)))
        self.repeats.on_tick(
            lambda number, ticked: callback(lambda work: self._tick(number, work, is_on=ticked))
        )
        self.adding.on_press(lambda _name: callback(self._add))
        self.again.on_submit(lambda _text: callback(self._add))

    def complain(self, sentence: str) -> None:
        """Say what is wrong, beside the box for repetitions; the ticks are as they were."""
        self.again.complain(sentence)
        self._show_repeats()

    # What the composer does.

    def _take_note(self, action: str, note: int, callback: Callable[[Make], object]) -> None:
        self._chosen = note
        if action == "pin":
            callback(lambda work: self._make("phrase", work))
        else:
            self._show_actions()

    def _make(self, name: str, work: Work) -> Choices:
        choices = work.choices
        if name == "phrases-found":
            return choices.with_phrase_ends(None)
        if name == "repeats-found":
            return choices.with_repeats(None)
        if name == "key":
            key = work.melody.runner_up
            if key is None:
                raise HarmonyError("The key is set; empty the box for it to find another.")
            return choices.with_question(replace(choices.question, key=str(key), turns=()))
        if self._chosen is None:
            raise HarmonyError("No note is chosen; click one of the tune.")
        ends = set(phrase_ends(work.melody))
        ends ^= {work.melody.notes[self._chosen].end}
        return choices.with_phrase_ends(tuple(sorted(ends)))

    def _tick(self, number: int, work: Work, *, is_on: bool) -> Choices:
        known, own = self._known(work), list_repeats(work.melody)
        one = known[number]
        kept = tuple(other for other in known if other in own and other != one)
        chosen = tuple(o for o in known if o in kept or (o == one and is_on))
        is_as_found = chosen == find_repeats(work.choices.question)
        return work.choices.with_repeats(None if is_as_found else chosen)

    def _add(self, work: Work) -> Choices:
        one = read_repeat(self.again.text, work.melody)
        own = list_repeats(work.melody)
        if one in own:
            raise HarmonyError("That comes again already, as the list says.")
        choices = work.choices.with_repeats((*own, one))
        self.again.put("")
        return choices

    # What is shown.

    def show(self, work: Work) -> None:
        """Show what was read in the tune."""
        if self._work is None or work.theme != self._work.theme:
            self._chosen = None
        self._work = work
        self.again.say("")
        self._show()

    def _show(self) -> None:
        if self.fold.is_open and self._work is not None:
            self._paint()
            self._show_actions()
            self._show_repeats()

    def _paint(self) -> None:
        work = self._work
        if work is None or not self.fold.is_open:
            return
        picture = engrave(
            reading_to_score(work.melody),
            concert=True,
            pageWidth=page_units(self.sheet.width),
            pageMarginLeft=40,
            pageMarginRight=0,
            pageMarginTop=20,
            pageMarginBottom=10,
        ).svg
        chosen = None if self._chosen is None else (self._chosen, 0)
        self.sheet.show(
            picture=picture, notes=present_tune(work.melody), under=[], chosen=chosen, label=LABEL
        )

    def _show_actions(self) -> None:
        work = self._work
        if work is None:
            return
        asked, number = work.choices.question, self._chosen
        ends = number is not None and work.melody.notes[number].end in phrase_ends(work.melody)
        other = work.melody.runner_up
        self.actions.items = [
            button(
                "phrase",
                "No phrase ends here" if ends else "A phrase ends here",
                enabled=number is not None and number < len(work.melody.notes) - 1,
            ),
            button("phrases-found", "Phrases as found", enabled=asked.phrase_ends is not None),
            button("repeats-found", "Repetitions as found", enabled=asked.repeats is not None),
            *([button("key", f"Read it in {say_key(other)}")] if other is not None else []),
        ]
        told = "No note is chosen; a phrase ends where a comma stands above the staff."
        if number is not None:
            told = present_tune(work.melody)[number]["spoken"] + "."
        self.told.say(told)

    def _show_repeats(self) -> None:
        work = self._work
        if work is None:
            return
        own = list_repeats(work.melody)
        items = []
        for one in self._known(work):
            # As the words over the staff have it.
            name = f"{one.kind} {own.index(one) + 1}: ".capitalize() if one in own else ""
            items.append({"sentence": name + say_repeat(work.theme, one), "ticked": one in own})
        self.repeats.items = items

    def _known(self, work: Work) -> tuple[Any, ...]:
        """What is found and what the composer added, ticked or not, by time."""
        found = find_repeats(work.choices.question)
        known = dict.fromkeys((*found, *list_repeats(work.melody)))
        return tuple(sorted(known, key=lambda one: (one.kind != SEQUENCE, one.starts)))


def phrase_ends(melody: Melody) -> tuple[Fraction, ...]:
    """Give the times at which phrases end, each where its last note does."""
    return tuple(phrase.end for phrase in melody.phrases)


def present_tune(melody: Melody) -> list[dict[str, Any]]:
    """Give the notes of the tune as the sheet takes them."""
    names = _note_names(melody)
    ends = phrase_ends(melody)
    shown = []
    for number, note in enumerate(melody.notes):
        assert note.pitch is not None
        said = f"{say_place(melody.theme, note.onset)}: {speak_pitch(note.pitch)}"
        if note.end in ends:
            said += ", a phrase ends here"
        shown.append(
            {
                "id": names[number],
                "slot": number,
                "voice": 0,
                "spoken": said[:1].upper() + said[1:],
                "pinned": False,
            }
        )
    return shown


def _note_names(melody: Melody) -> list[str]:
    """The ids of the sounding notes in the score of the theme, whose rests have ids too."""
    onsets = {note.onset for note in melody.notes}
    return [
        f"n{index}"
        for index, note in enumerate(melody.theme.line)
        if note.pitch is not None and note.duration > 0 and note.onset in onsets
    ]


def reading_to_score(melody: Melody) -> Score:
    """Give the tune with a comma at the end of each phrase and words over what comes again."""
    score = theme_to_score(melody.theme, part_name="")
    (part,), ends = score.parts, set(phrase_ends(melody)[:-1])
    (staff,) = part.staves
    events = tuple(
        replace(event, marks=(*event.marks, "breath-mark"))
        if event.end in ends and event.pitches and "breath-mark" not in event.marks
        else event
        for event in staff.events
    )
    words = []
    for number, one in enumerate(list_repeats(melody), start=1):
        for place, start in enumerate(one.starts):
            told = "sequence" if one.kind == SEQUENCE else "opening"
            text = f"{told} {number}" + (", again" if place else "")
            words.append(Direction(start, "words", text))
    directions = tuple(sorted(words, key=lambda one: one.onset))
    return replace(
        score,
        parts=(replace(part, staves=(replace(staff, events=events),)),),
        directions=directions,
        title="",
    )
