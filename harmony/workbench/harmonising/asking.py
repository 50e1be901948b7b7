"""The question as it stands on the desk: tune, idioms, key, how many, how quick."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets

from harmony.errors import HarmonyError
from harmony.harmonising.idiom import IDIOMS
from harmony.workbench.harmonising.state import MOST_SHOWN
from harmony.workbench.harmonising.work import PACES, Work
from harmony.workbench.parts.controls import Actions, Choice
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.layout import button, row
from harmony.workbench.theme.work import list_themes

NO_OTHER = "no other"
OWN = "own"
_PACE_WORDS = {"usual": "as the tune suggests", "slow": "slower", "beats": "every beat"}


class Asking:
    """The first line of the desk. ``box`` is what is laid out there."""

    def __init__(self) -> None:
        counts = [str(number) for number in range(1, MOST_SHOWN + 1)]
        self.source = Choice(label="Theme", options=list(list_themes()))
        self.idioms = Choice(label="Idioms", options=list(IDIOMS))
        self.second = Choice(label="Second idiom", options=[NO_OTHER, *IDIOMS])
        self.third = Choice(label="Third idiom", options=[NO_OTHER, *IDIOMS])
        self.count = Choice(label="Alternatives", options=counts)
        self.pace = Choice(label="Chords change", options=[_PACE_WORDS[pace] for pace in PACES])
        self.key = Entry(label="Key (empty: found)")
        self.own = Entry(label="Chords for the idiom own", value="")
        self.ask = Actions(items=[button("ask", "Harmonise", first=True)])
        self.box = ipywidgets.VBox(
            [
                row(self.source, self.idioms, self.second, self.third, self.ask, name="hw-line"),
                row(self.count, self.pace, self.key, self.own, name="hw-top"),
            ]
        )

    def on_ask(self, callback: Callable[[], object]) -> None:
        """Call back when the question is asked."""
        self.ask.on_press(lambda _name: callback())
        for entry in (self.key, self.own):
            entry.on_submit(lambda _text: callback())

    def read(self) -> dict[str, Any]:
        """Give what is asked, as :meth:`Choices.with_asking` takes it."""
        named = [self.idioms.value, self.second.value, self.third.value]
        names = dict.fromkeys(name for name in named if name != NO_OTHER)
        if OWN in names and not self.own.value.strip():
            raise HarmonyError(
                "The idiom own needs your chords; write them in the box, such as Dm7 G/B Cmaj7."
            )
        return {
            "idioms": tuple(f"{OWN}: {self.own.value.strip()}" if n == OWN else n for n in names),
            "key": self.key.value.strip(),
            "count": int(self.count.value),
            "pace": next(pace for pace, words in _PACE_WORDS.items() if words == self.pace.value),
        }

    def show(self, work: Work) -> None:
        """Set every control to what was asked."""
        asked = work.choices.question
        self.list_sources()
        self.source.value = asked.source
        idioms = [*asked.idioms, NO_OTHER, NO_OTHER][:3]
        for choice, idiom in zip((self.idioms, self.second, self.third), idioms, strict=True):
            name, colon, chords = idiom.partition(":")
            choice.value = name
            if colon:
                self.own.value = chords.strip()
        self.count.value, self.key.value = str(asked.count), asked.key
        self.pace.value = _PACE_WORDS[asked.pace]

    def list_sources(self) -> None:
        """Read the sketchbook anew."""
        self.source.options = list(list_themes())

    def say(self, sentence: str) -> None:
        """Say something beside the question."""
        self.key.say(sentence)

    def complain(self, sentence: str) -> None:
        """Say what is wrong in the question."""
        self.key.complain(sentence)
