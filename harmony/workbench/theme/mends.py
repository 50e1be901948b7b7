"""What is wrong in the canon that is opened, and the notes that would mend it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from harmony.workbench.parts.cards import Bill
from harmony.workbench.theme.presenter import present_fault_lines
from harmony.workbench.theme.work import FEW_FAULTS, Work, find_mends
from harmony.workbench.words import write_signs

_NO_CANON = "Choose a canon to see what is wrong in it and how to mend it."
_SEEKING = "Looking for notes to change."
_NOT_MENDED = "No one or two notes changed in the theme mend it."
_TOO_MUCH = "More is wrong than one note changed in the theme can mend."
_HEADINGS = {
    1: "One note changed in the theme mends it",
    2: "Two notes changed in the theme mend it",
}


class Mends:
    """Faults in words, and mendings to press; ``bill`` is what is laid out."""

    def __init__(self) -> None:
        self.bill = Bill(hint=_NO_CANON, no_lines="By this judge, every note is right.")
        self._found: tuple[Any, ...] = ()

    def on_press(self, callback: Callable[..., object]) -> None:
        """Call back with the operations of the mending that is pressed."""

        def take(place: int) -> None:
            if 0 <= place < len(self._found):
                callback(*self._found[place].operations)

        self.bill.on_press(take)

    def forget(self) -> None:
        """Take no press of mendings that belong to what was opened before."""
        self._found = ()

    def tell(self, work: Work) -> None:
        """Tell the faults; the mendings come with :meth:`seek`."""
        lines = present_fault_lines(work.opened)
        # one line alone has nothing to be judged against
        self.bill.layout.display = None if len(work.opened.lines) > 1 else "none"
        with self.bill.hold_sync():
            self.bill.heading = "What is wrong in it" if lines else "Nothing is wrong in it"
            self.bill.lines = lines
            self.bill.notes_heading, self.bill.candidates = "Mending", []
            if work.canon is None:
                self.bill.hint = _NO_CANON
            else:
                self.bill.hint = _SEEKING if lines else "Nothing is to be mended."

    def seek(self, work: Work) -> None:
        """Look for changes that mend what is opened, and offer them."""
        self._found = find_mends(work)
        if not self._found:
            if work.canon is not None and work.opened.faults:
                is_little = len(work.opened.faults) <= FEW_FAULTS
                self.bill.hint = _NOT_MENDED if is_little else _TOO_MUCH
            return
        with self.bill.hold_sync():
            self.bill.notes_heading = _HEADINGS[len(self._found[0].changes)]
            self.bill.candidates = [
                {
                    "name": write_signs(said := "; ".join(one.operations)),
                    "spoken": said,
                    "price": "least audible" if place == 0 else "",
                    "is_now": False,
                    "is_pinned": False,
                }
                for place, one in enumerate(self._found)
            ]
