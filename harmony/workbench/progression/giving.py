"""What voices are given or asked: lines of their own, registers from a bar on, movement."""

from __future__ import annotations

from typing import Protocol

from harmony.errors import HarmonyError
from harmony.pitch.line import Line
from harmony.reading.theme import score_to_theme
from harmony.sketchbook import Sketchbook
from harmony.voicings.movement import KINDS
from harmony.voicings.pins import read_registers
from harmony.workbench.parts.controls import Actions, Choice, Message
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, complaining, saying
from harmony.workbench.parts.layout import button, row
from harmony.workbench.progression.fromscore import NOTHING
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import Work
from harmony.workbench.scores import list_scores, name_parts, open_file

TITLE = "Lines given, registers from a bar on, movement"
STILL, ANY = "as the chords come", "any of these"


class Desk(Protocol):
    """What the fold asks of the desk it belongs to."""

    work: Work

    @property
    def choices(self) -> Choices:
        """Give what is set."""

    def search(self, choices: Choices) -> None:
        """Voice anew with other choices."""


class Giving:
    """The fold on desk 1; ``box`` is what is laid out there."""

    def __init__(self, desk: Desk, sketchbook: Sketchbook) -> None:
        self._desk, self._sketchbook = desk, sketchbook
        self.told = Message()
        self.score = Choice(label="Line in the sketchbook", options=[NOTHING], value=NOTHING)
        self.part = Choice(label="Its part", options=["1"], value="1")
        self.voice = Choice(label="For")
        self.movement = Choice(label="It moves between chords", options=[STILL, *KINDS, ANY])
        self.movement.value = STILL
        self.actions = Actions(
            items=[
                button("give", "Give it the line", about="In its own rhythm"),
                button("move", "Ask for the movement"),
                button("free", "Take back what it has"),
            ]
        )
        self.register = Entry(label="Register from a bar on, such as 9 Cello=C3-E4 (empty: none)")
        self.folded = Folded(
            TITLE,
            self.told,
            row(self.voice, self.score, self.part, self.movement, name="hw-line"),
            self.actions,
            self.register,
        )
        self.box = self.folded.box
        guard = Guard(saying(self.told))
        self.folded.fold.observe(guard(lambda _change: self._look()), names="is_open")
        self.score.observe(guard(lambda _change: self._list_parts()), names="value")
        self.actions.on_press(guard(self._take))
        self.register.on_submit(Guard(complaining(self.register))(self._take_register))

    def follow(self, work: Work) -> None:
        """Show what is given and asked."""
        self.voice.offer([voice.name for voice in work.problem.ensemble.voices])
        self.told.say(say_given(work.choices))

    def _look(self) -> None:
        if not self.folded.fold.is_open:
            return
        before = self.score.value
        self.score.offer(list(list_scores(self._sketchbook.folder)) or [NOTHING])
        if self.score.value == before:  # another score lists its parts by itself
            self._list_parts()

    def _list_parts(self) -> None:
        if self.score.value == NOTHING:
            return
        self.part.offer(name_parts(open_file(self._sketchbook.folder / self.score.value)))

    def _take(self, name: str) -> None:
        choices, voice = self._desk.choices, self.voice.value
        if name == "give":
            choices = choices.with_given(voice, self._read_line())
        elif name == "move":
            asked = self.movement.value
            kinds = () if asked == STILL else KINDS if asked == ANY else (asked,)
            choices = choices.with_movement(voice, kinds)
        else:
            choices = choices.with_given(voice, None).with_movement(voice, ())
        self._desk.search(choices)

    def _read_line(self) -> Line:
        if self.score.value == NOTHING:
            raise HarmonyError(
                f"Put a score into {self._sketchbook.folder} first; it is then in the list."
            )
        score = open_file(self._sketchbook.folder / self.score.value)
        return score_to_theme(score, part=self.part.value.partition(":")[0]).line

    def _take_register(self, text: str) -> None:
        texts = tuple(one.strip() for one in text.split(",") if one.strip())
        read_registers(texts, self._desk.work.problem.ensemble)
        self._desk.search(self._desk.choices.with_later(texts))
        self.register.say("")


def say_given(choices: Choices) -> str:
    """Say what voices are given and asked."""
    told = [f"{name} has a line of its own." for name, _ in choices.given]
    told += [f"{name} is asked for {' or '.join(kinds)} notes." for name, kinds in choices.movement]
    if choices.later:
        told.append(f"Registers from a bar on: {', '.join(choices.later)}.")
    return " ".join(told) or "No voice has a line of its own or is asked to move."
