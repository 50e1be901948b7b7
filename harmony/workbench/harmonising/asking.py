"""The question as it stands on the desk: tune, key, idioms, how many, how quick."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets

from harmony.errors import HarmonyError
from harmony.harmonising.idiom import IDIOMS
from harmony.harmonising.keyless import NO_KEY, is_no_key, weigh_without_key
from harmony.harmonising.lines import BASS, BOTH, INNER, MELODY
from harmony.harmonising.spans import PACES
from harmony.pitch.key import Key
from harmony.workbench.harmonising.state import MOST_SHOWN, Choices, Question
from harmony.workbench.harmonising.tune import open_given
from harmony.workbench.harmonising.work import Work
from harmony.workbench.parts.controls import Actions, Choice
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.layout import button, row
from harmony.workbench.scores import list_themes, name_parts, open_score, open_source

NO_OTHER = "no other"
OWN = "own"
NOWHERE = "nowhere"
_AT, _FROM = "at bar ", ", from bar "
_GIVEN_WORDS = {
    MELODY: "the melody", BASS: "the bass", INNER: "an inner voice", BOTH: "tune and bass given"
}  # fmt: skip
_PACE_WORDS = {"usual": "as the tune suggests", "slow": "slower", "beats": "every beat"}


class Asking:
    """The first lines of the desk. ``box`` is what is laid out there."""

    def __init__(self) -> None:
        counts = [str(number) for number in range(1, MOST_SHOWN + 1)]
        self.source = Choice(label="Theme", options=list(list_themes()))
        self.part = Choice(label="Part")
        self.given = Choice(label="The tune is", options=list(_GIVEN_WORDS.values()))
        self.bass = Choice(label="Its bass")
        self.bars = Entry(label="Bars (empty: all)")
        self.key = Entry(label="Key (empty: found; or none)")
        self.ask = Actions(items=[button("ask", "Harmonise", first=True)])
        self.idioms = Choice(label="Idioms", options=list(IDIOMS))
        self.change = Choice(label="It changes", options=[NOWHERE])
        self.after = Choice(label="to", options=[name for name in IDIOMS if name != OWN])
        self.second = Choice(label="Second idiom", options=[NO_OTHER, *IDIOMS])
        self.third = Choice(label="Third idiom", options=[NO_OTHER, *IDIOMS])
        self.count = Choice(label="Alternatives", options=counts)
        self.pace = Choice(label="Chords change", options=[_PACE_WORDS[pace] for pace in PACES])
        self.own = Entry(label="Chords for the idiom own", value="")
        self._beside = self.key
        self.box = ipywidgets.VBox(
            [
                row(self.source, self.part, self.bars, self.key, self.ask, name="hw-top"),
                row(self.given, self.bass, self.count, self.pace, name="hw-top"),
                row(
                    self.idioms, self.change, self.after, self.second, self.third, self.own,
                    name="hw-top",
                ),
            ]
        )  # fmt: skip
        for choice in (self.idioms, self.second, self.third):
            choice.observe(lambda _change: self._show_own(), names="value")
        for choice in (self.change, self.given):
            choice.observe(lambda _change: self._show_own(), names="value")
        self._show_own()

    def on_ask(self, callback: Callable[[], object]) -> None:
        """Call back when the question is asked."""
        self.ask.on_press(lambda _name: callback())
        for entry in (self.bars, self.key, self.own):
            entry.on_submit(lambda _text: callback())

    def on_tune(self, callback: Callable[[str, str], object]) -> None:
        """Call back with the theme and the number of its part when another is chosen."""
        self.source.observe(lambda change: callback(change.new, ""), names="value")
        self.part.observe(
            lambda change: callback(self.source.value, change.new.partition(":")[0]),
            names="value",
        )

    def read(self, choices: Choices) -> Choices:
        """Give the choices with what is asked; a fault is told beside the box it is in."""
        source, part = self.source.value, self._part
        bars, key, own = (entry.text.strip() for entry in (self.bars, self.key, self.own))
        self._beside = self.bars
        open_source(source, part, bars)
        self._beside = self.key
        if key:
            key = NO_KEY if is_no_key(key) else key
            if key != NO_KEY:
                Key.from_text(key)
        named = [self.idioms.value, self.second.value, self.third.value]
        names = dict.fromkeys(name for name in named if name != NO_OTHER)
        if OWN in names:
            self._beside = self.own
            if not own:
                raise HarmonyError(
                    "The idiom own needs your chords; write them in the box, such as Dm7 G/B Cmaj7."
                )
        idioms = [f"{OWN}: {own}" if name == OWN else name for name in names]
        if self.change.value != NOWHERE:
            idioms[0] += f"{_FROM}{self.change.value.removeprefix(_AT)} {self.after.value}"
        if key == NO_KEY:
            self._beside = self.key
            weigh_without_key(idioms, None)
        given = next(name for name, words in _GIVEN_WORDS.items() if words == self.given.value)
        asked = choices.with_tune(source, part, bars).with_given(given, self._bass)
        beside, self._beside = self._beside, self.bars
        open_given(asked.question)
        self._beside = beside
        return asked.with_asking(
            idioms=tuple(idioms),
            key=key,
            count=int(self.count.value),
            pace=next(pace for pace, words in _PACE_WORDS.items() if words == self.pace.value),
        )

    @property
    def _part(self) -> str:
        number = self.part.value.partition(":")[0]
        return "" if number == "1" else number

    @property
    def _bass(self) -> str:
        """The part or the theme chosen for the bass: a number counted from 1, or a name."""
        number, colon, _ = self.bass.value.partition(":")
        return number if colon and number.isdigit() else self.bass.value

    def show(self, work: Work) -> None:
        """Set every control to what was asked."""
        asked = work.choices.question
        self.list_sources()
        self.source.value = asked.source
        self.part.options = name_parts(open_score(asked.source))
        self.part.value = self.part.options[int(asked.part or 1) - 1]
        self.given.value = _GIVEN_WORDS[asked.given]
        self._list_basses(asked)
        numbers = work.theme.meters.bars_through(work.melody.end)
        self.change.options = [NOWHERE, *(f"{_AT}{bar}" for bar in numbers[1:])]
        first, changes, then = asked.idioms[0].partition(_FROM)
        bar, _, other = then.partition(" ")
        self.change.value = f"{_AT}{bar}" if changes else NOWHERE
        if changes:
            self.after.value = other
        idioms = [first, *asked.idioms[1:], NO_OTHER, NO_OTHER][:3]
        for choice, idiom in zip((self.idioms, self.second, self.third), idioms, strict=True):
            name, colon, chords = idiom.partition(":")
            choice.value = name
            if colon:
                self.own.put(chords.strip())
        self.count.value = str(asked.count)
        self.bars.put(asked.bars)
        self.key.put(asked.key)
        self.pace.value = _PACE_WORDS[asked.pace]

    def _list_basses(self, asked: Question) -> None:
        """List the other parts of the score, the last first, and the other themes."""
        parts = self.part.options
        others = [name for name in reversed(parts) if name != self.part.value]
        self.bass.options = [*others, *(name for name in list_themes() if name != asked.source)]
        chosen = [name for name in self.bass.options if name.partition(":")[0] == asked.bass]
        self.bass.value = (chosen or self.bass.options)[0]

    def list_sources(self) -> None:
        """Read the sketchbook anew."""
        self.source.options = list(list_themes())

    def say(self, sentence: str) -> None:
        """Say something beside the question."""
        for entry in (self.bars, self.key, self.own):
            entry.say("")
        self.key.say(sentence)

    def complain(self, sentence: str) -> None:
        """Say what is wrong, beside the box it is in."""
        self.say("")
        self._beside.complain(sentence)

    def _show_own(self) -> None:
        is_asked = OWN in (self.idioms.value, self.second.value, self.third.value)
        self.own.layout.display = None if is_asked else "none"
        both = self.given.value == _GIVEN_WORDS[BOTH]
        self.bass.layout.display = None if both else "none"
        self.after.layout.display = "none" if self.change.value == NOWHERE else None
