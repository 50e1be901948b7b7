"""What the composer has set at the theme desk; every value frozen, every change a new one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.themes.counterpoint import Judge
from harmony.themes.follower import Motion


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that decides what the desk shows.

    ``source`` names the theme among those that can be chosen; ``operations`` are done
    to it in order; ``letter`` is the possibility shown (empty: none); ``judge``,
    ``motion``, ``stretch`` say which canons the chart shows, and ``cell`` (steps, delay
    in quarters) which of them is opened.
    """

    source: str
    operations: tuple[str, ...] = ()
    letter: str = "A"
    judge: Judge = "tonal"
    motion: Motion = "direct"
    stretch: Fraction = Fraction(1)
    cell: tuple[int, Fraction] | None = None

    def with_source(self, source: str) -> Choices:
        """Give the choices for another theme."""
        return Choices(source, judge=self.judge)

    def with_operation(self, operation: str) -> Choices:
        """Give the choices with one more operation done to the theme."""
        return replace(self, operations=(*self.operations, operation), letter="A", cell=None)

    def with_letter(self, letter: str) -> Choices:
        """Give the choices with a possibility shown."""
        return replace(self, letter=letter, cell=None)

    def with_cell(self, cell: tuple[int, Fraction]) -> Choices:
        """Give the choices with a canon of the chart opened."""
        return replace(self, cell=cell, letter="")

    def with_chart(self, *, motion: Motion, stretch: Fraction, judge: Judge) -> Choices:
        """Give the choices with other canons on the chart."""
        return replace(
            self, motion=motion, stretch=stretch, judge=judge, cell=None, letter=self.letter or "A"
        )
