"""Undo and redo without end: every state of a desk is kept whole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Generic, TypeVar

Choices = TypeVar("Choices")


@dataclass(frozen=True, slots=True)
class History(Generic[Choices]):
    """What is set at a desk now, with what was set before and after it.

    ``stroke`` names one movement of a control: what it changes is one change.
    """

    present: Choices
    past: tuple[Choices, ...] = ()
    future: tuple[Choices, ...] = ()
    stroke: str = ""

    def change(self, choices: Choices, *, stroke: str = "") -> History[Choices]:
        """Go on to other choices; what was undone before is given up."""
        if choices == self.present:
            return self
        if stroke and stroke == self.stroke:
            return History(choices, self.past, (), stroke)
        return History(choices, (*self.past, self.present), (), stroke)

    def look(self, choices: Choices) -> History[Choices]:
        """Look elsewhere without a change that could be undone."""
        return replace(self, present=choices)

    def undo(self) -> History[Choices]:
        """Go back one change; at the beginning, stay."""
        if not self.past:
            return self
        return History(self.past[-1], self.past[:-1], (self.present, *self.future))

    def redo(self) -> History[Choices]:
        """Take back one undo; where there is none, stay."""
        if not self.future:
            return self
        return History(self.future[0], (*self.past, self.present), self.future[1:])
