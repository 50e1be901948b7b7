"""What the workshop is asked for: the kind of search and what that kind wants to know."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets

from harmony.errors import HarmonyError
from harmony.themes.continuation import CONTOURS
from harmony.workbench.parts.controls import Actions, Choice
from harmony.workbench.parts.entry import Entry
from harmony.workbench.parts.layout import button, row
from harmony.workbench.theme.state import (
    CANONS,
    CONTINUATIONS,
    KINDS,
    OTHER_THEME,
    OVER_CHORDS,
    Search,
)

ANY = "any"
NOTHING, CHORDS, GROUND = "a free bass", "these chords", "a theme as ground"
_DEGREES = (ANY, "1", "2", "3", "4", "5", "6", "7")
_LENGTHS = (ANY, "2", "3", "4", "6", "8", "12", "16")


class Asking:
    """The question of the workshop; ``box`` is what is laid out."""

    def __init__(self, themes: list[str]) -> None:
        self.kind = Choice(label="Look for", options=list(KINDS), value=CONTINUATIONS)
        self.kept = Choice(label="Bars kept", options=[ANY, *map(str, range(1, 17))], value=ANY)
        self.bars = Choice(label="Bars added", options=list(_LENGTHS), value=ANY)
        self.degree = Choice(label="Closing degree", options=list(_DEGREES), value=ANY)
        self.contour = Choice(label="Contour", options=[ANY, *CONTOURS], value=ANY)
        self.voices = Choice(label="Voices", options=["2", "3", "4"], value="3")
        self.under = Choice(label="Under them", options=[NOTHING, CHORDS, GROUND], value=NOTHING)
        self.ground = Choice(label="Ground", options=themes, value=themes[0])
        self.other = Choice(label="Other theme", options=themes, value=themes[-1])
        self.chords = Entry(label="Chords, coming round")
        self.go = Actions(items=[button("look", "Look for it", first=True)])
        parts = (self.kind, self.kept, self.bars, self.degree, self.contour, self.voices)
        more = (self.under, self.ground, self.other, self.chords, self.go)
        self.box = row(*parts, *more, name="hw-top")
        for choice in (self.kind, self.under):
            choice.observe(lambda _change: self._show_what_matters(), names="value")
        self._show_what_matters()

    def on_ask(self, callback: Callable[[], object]) -> None:
        """Call back when something is asked."""
        self.go.on_press(lambda _name: callback())
        self.chords.on_submit(lambda _text: callback())

    def read(self) -> Search:
        """Give what is asked as it stands.

        Raises
        ------
        HarmonyError
            If the chords it needs are not written.
        """
        kind = self.kind.value
        if kind == CONTINUATIONS:
            return Search(
                kind,
                kept_bars=_number(self.kept.value),
                bars=_number(self.bars.value),
                closing_degree=_number(self.degree.value),
                contour="" if self.contour.value == ANY else self.contour.value,
            )
        if kind == CANONS:
            chords = self._written() if self.under.value == CHORDS else ""
            ground = self.ground.value if self.under.value == GROUND else ""
            return Search(kind, voices=int(self.voices.value), chords=chords, ground=ground)
        if kind == OTHER_THEME:
            return Search(kind, other=self.other.value)
        return Search(kind, chords=self._written() if kind == OVER_CHORDS else "")

    def _written(self) -> str:
        text = self.chords.text.strip()
        if not text:
            raise HarmonyError("Write the chords first, for example 'Dm7 | G7 | Dm7 | C'.")
        return text

    def show(self, search: Search | None, themes: list[str]) -> None:
        """Show what was asked, as after Undo; nothing asked leaves all as it is."""
        for choice in (self.ground, self.other):
            choice.options = themes
        if search is None:
            return
        self.kind.value = search.kind
        self.kept.value, self.bars.value = _word(search.kept_bars), _word(search.bars)
        self.degree.value = _word(search.closing_degree)
        self.contour.value = search.contour or ANY
        self.voices.value = str(search.voices)
        if search.kind == CANONS:
            self.under.value = CHORDS if search.chords else GROUND if search.ground else NOTHING
        if search.ground in themes:
            self.ground.value = search.ground
        if search.other in themes:
            self.other.value = search.other
        if search.chords:
            self.chords.put(search.chords)

    def _show_what_matters(self) -> None:
        kind, under = self.kind.value, self.under.value
        wanted: dict[ipywidgets.Widget, bool] = {
            **dict.fromkeys((self.kept, self.bars, self.degree, self.contour),
                            kind == CONTINUATIONS),
            **dict.fromkeys((self.voices, self.under), kind == CANONS),
            self.ground: kind == CANONS and under == GROUND,
            self.other: kind == OTHER_THEME,
            self.chords: kind == OVER_CHORDS or (kind == CANONS and under == CHORDS),
        }  # fmt: skip
        for part, is_wanted in wanted.items():
            part.layout.display = None if is_wanted else "none"


def _number(word: str) -> int:
    return 0 if word == ANY else int(word)


def _word(number: int) -> str:
    return str(number) if number else ANY
