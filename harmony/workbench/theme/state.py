"""What the composer has set at the theme desk; every value frozen, every change a new one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.themes.counterpoint import Judge
from harmony.themes.follower import Motion

CONTINUATIONS = "continuations"
CANONS = "canons in more voices"
OTHER_THEME = "another theme against it"
OWN_FORMS = "its own forms against it"
OVER_CHORDS = "places over given chords"
KINDS = (CONTINUATIONS, CANONS, OTHER_THEME, OWN_FORMS, OVER_CHORDS)


@dataclass(frozen=True, slots=True)
class Search:
    """What was looked for in the workshop: its kind, and what each kind wants to know.

    Empty or 0 means: any. ``chords`` is the text of a progression, ``ground`` and
    ``other`` name themes among those that can be chosen.
    """

    kind: str = CONTINUATIONS
    kept_bars: int = 0
    bars: int = 0
    closing_degree: int = 0
    contour: str = ""
    voices: int = 3
    chords: str = ""
    ground: str = ""
    other: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that decides what the desk shows.

    ``source`` names the theme's score among those that can be chosen, ``part`` (its
    number) and ``bars`` what of it is the theme, empty for the first part and all bars;
    ``operations`` are done to it in order; ``letter`` is the possibility shown (empty:
    none); ``judge``, ``motion``, ``stretch`` say which canons the chart shows, and
    ``cell`` (steps, delay in quarters) which of them is opened. ``search`` is what was
    looked for in the workshop, and ``found`` the number of what is shown of that, from 1
    (0: nothing).
    """

    source: str
    operations: tuple[str, ...] = ()
    part: str = ""
    bars: str = ""
    letter: str = "A"
    judge: Judge = "tonal"
    motion: Motion = "direct"
    stretch: Fraction = Fraction(1)
    cell: tuple[int, Fraction] | None = None
    search: Search | None = None
    found: int = 0

    def with_source(self, source: str, bars: str = "") -> Choices:
        """Give the choices for another theme, or for some bars of it."""
        return Choices(source, judge=self.judge, bars=bars)

    def with_part(self, part: str, bars: str) -> Choices:
        """Give the choices for another part of the same score, or other bars of it."""
        return Choices(self.source, judge=self.judge, part=part, bars=bars)

    def with_operation(self, *operations: str) -> Choices:
        """Give the choices with one or more operations done to the theme."""
        return replace(
            self,
            operations=(*self.operations, *operations),
            letter="A",
            cell=None,
            search=None,
            found=0,
        )

    def with_letter(self, letter: str) -> Choices:
        """Give the choices with a possibility shown."""
        return replace(self, letter=letter, cell=None, found=0)

    def with_cell(self, cell: tuple[int, Fraction]) -> Choices:
        """Give the choices with a canon of the chart opened."""
        return replace(self, cell=cell, letter="", found=0)

    def with_search(self, search: Search) -> Choices:
        """Give the choices with something looked for, the first of it shown."""
        return replace(self, search=search, found=1, letter="", cell=None)

    def with_found(self, number: int) -> Choices:
        """Give the choices with another of what was found shown."""
        return replace(self, found=number, letter="", cell=None)

    def with_chart(self, *, motion: Motion, stretch: Fraction, judge: Judge) -> Choices:
        """Give the choices with other canons on the chart."""
        return replace(
            self, motion=motion, stretch=stretch, judge=judge, cell=None,
            letter=self.letter or ("" if self.found else "A"),
        )  # fmt: skip
