"""What the chosen chord costs, and what other notes of the chosen voice would cost."""

from __future__ import annotations

from typing import Protocol

from harmony.pitch.spelling import Pitch
from harmony.workbench.parts.background import LongSearch, Watch
from harmony.workbench.parts.cards import Bill
from harmony.workbench.parts.guard import Reporter
from harmony.workbench.progression.presenter import (
    Candidate,
    present_account,
    present_candidates,
    present_candidates_heading,
)
from harmony.workbench.progression.searching import PRICES, heeding, report_to
from harmony.workbench.progression.work import Work, are_prices_known, find_prices, takes_long

CHOOSE_HINT = "Choose a note with the arrow keys or a click beside it; a click on it pins it."
PRICED_LATER = (
    "What other notes cost is told once it is worked out; choose the note again if that was"
    " stopped."
)


class Desk(Protocol):
    """What the bill asks of the desk it belongs to."""

    work: Work


class Billing:
    """The bill of the desk; ``bill`` is what is laid out.

    ``long`` prices the notes of a large problem beside the desk, where nothing else is
    sought; ``report`` shows what that raised.
    """

    def __init__(self, desk: Desk, long: LongSearch, report: Reporter) -> None:
        self._desk, self._long, self._report = desk, long, report
        self._candidates: tuple[Candidate, ...] = ()
        self.bill = Bill(hint=CHOOSE_HINT)

    def pitch_at(self, place: int) -> Pitch | None:
        """Give the note that stands at a place among the others, or None."""
        if not 0 <= place < len(self._candidates):
            return None
        return self._candidates[place].pitch

    def follow(self, work: Work) -> None:
        """Show the bill, and the prices as soon as they are known."""
        self._show(work)
        self._price_beside(work)

    def _show(self, work: Work) -> None:
        account, chosen = present_account(work), work.choices.chosen
        prices: dict[Pitch, float] = {}
        hint = CHOOSE_HINT
        if chosen and (are_prices_known(work, *chosen) or not takes_long(work.choices)):
            prices = find_prices(work, *chosen)
        elif chosen:
            hint = PRICED_LATER
        self._candidates = present_candidates(work, prices)
        with self.bill.hold_sync():
            self.bill.heading, self.bill.hint = account.heading, hint
            self.bill.lines = [list(line) for line in account.lines]
            self.bill.notes_heading = present_candidates_heading(work)
            self.bill.candidates = [one.to_dict() for one in self._candidates]

    def _price_beside(self, work: Work) -> None:
        chosen = work.choices.chosen
        if chosen is None or self._long.is_running or are_prices_known(work, *chosen):
            return

        def find(watch: Watch) -> object:
            with heeding(watch, PRICES):
                return find_prices(work, *chosen, report_to(watch, PRICES))

        self._long.run(
            find,
            # Another note may have been chosen since.
            lambda _prices: self.follow(self._desk.work),
            self._report,
        )
