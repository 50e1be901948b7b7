"""The chords of a score of the sketchbook read into the box, to be corrected there."""

from __future__ import annotations

from typing import Protocol

from harmony.reading.chords import ChordProposal
from harmony.sketchbook import Sketchbook
from harmony.workbench.parts.controls import Actions, Choice, Message
from harmony.workbench.parts.folding import Folded
from harmony.workbench.parts.guard import Guard, saying
from harmony.workbench.parts.layout import button, row
from harmony.workbench.scores import list_scores, open_file

TITLE = "Read the chords of a score"
NOTHING = "no score yet"
NEAR = 0.3  # a lead below it leaves both readings good
MOST_TOLD = 6


class Desk(Protocol):
    """The desk whose box the chords are read into."""

    def put_text(self, text: str, chosen: int | None) -> None:
        """Put a text into the box and voice it."""


class ChordsOfScore:
    """The fold on desk 1; ``box`` is what is laid out there."""

    def __init__(self, desk: Desk, sketchbook: Sketchbook) -> None:
        self._desk, self._sketchbook = desk, sketchbook
        self.score = Choice(label="Score in the sketchbook", options=[NOTHING], value=NOTHING)
        self.actions = Actions(items=[button("read", "Read its chords")])
        self.message = Message()
        folded = Folded(TITLE, row(self.score, self.actions, name="hw-line"), self.message)
        self.fold, self.box = folded.fold, folded.box
        guard = Guard(saying(self.message))
        self.fold.observe(guard(lambda _change: self._look()), names="is_open")
        self.actions.on_press(guard(lambda _name: self._read(self.score.value)))

    def _look(self) -> None:
        if self.fold.is_open:
            self.score.offer(list(list_scores(self._sketchbook.folder)) or [NOTHING])

    def _read(self, name: str) -> None:
        if name == NOTHING:
            self.message.say(
                f"Put a score into {self._sketchbook.folder} first; it is then in the list."
            )
            return
        text, told = read_chords(self._sketchbook, name)
        self._desk.put_text(text, None)
        self.message.say(told)


def read_chords(sketchbook: Sketchbook, name: str) -> tuple[str, str]:
    """Give the chords of a score as the text of a progression, and what to say of them.

    Raises
    ------
    HarmonyError
        If the score cannot be read or names no chords and has no notes.
    """
    from harmony.reading.progression import read_progression

    score = open_file(sketchbook.folder / name)
    progression, proposals = read_progression(score)
    count = sum(slot.chord is not None for slot in progression)
    read_off = "1 chord" if count == 1 else f"{count} chords"
    if score.harmonies:
        return str(progression), f"{read_off} as the score names them; correct them in the box."
    doubtful = [one for one in proposals if one.second is not None and one.lead < NEAR]
    told = [f"{read_off} read off the notes; correct them in the box."]
    if doubtful:
        some = "; ".join(
            _say_second(one, progression.meters.locate(one.onset)) for one in doubtful[:MOST_TOLD]
        )
        more = len(doubtful) - MOST_TOLD
        told.append(f"As good a reading: {some}{f'; and {more} more' if more > 0 else ''}.")
    return str(progression), " ".join(told)


def _say_second(one: ChordProposal, place: tuple[int, object]) -> str:
    from harmony.chords.naming import chord_symbol

    assert one.second is not None
    bar, beat = place
    return f"bar {bar} beat {beat} {chord_symbol(one.second)} for {chord_symbol(one.first)}"
