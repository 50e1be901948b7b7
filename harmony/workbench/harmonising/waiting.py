"""What is asked again of a long tune: found beside the desk, with a way out."""

from __future__ import annotations

from collections.abc import Callable

from harmony.workbench.harmonising.state import Again, Choices
from harmony.workbench.harmonising.work import Work, do_work
from harmony.workbench.parts.background import LongSearch, Watch
from harmony.workbench.parts.guard import Reporter

LONG = 100  # chords; fewer are found in well under a second
_PATIENCE_SECONDS = 0.3


def takes_long(choices: Choices, work: Work) -> bool:
    """True where more is asked of a tune of many chords than is found in a moment."""
    turns = choices.question.turns
    return bool(turns) and isinstance(turns[-1], Again) and len(work.found.spans) > LONG


class Waiting:
    """The line that stands there meanwhile. ``box`` is what is laid out on the desk."""

    def __init__(self) -> None:
        self._cancelled: Callable[[], object] | None = None
        self._search = LongSearch(
            str,
            begins="Looking through every way the tune can go; Cancel leaves all as it is.",
            patience_seconds=_PATIENCE_SECONDS,
        )
        self.cancel = self._search.cancel
        self.box = self._search.box
        self.cancel.on_press(lambda _name: self._cancel())

    def find(
        self,
        choices: Choices,
        done: Callable[[Work], object],
        report: Reporter,
        cancelled: Callable[[], object],
    ) -> None:
        """Find what choices ask for; one of the three is called then."""
        self._cancelled = cancelled

        def find(_watch: Watch) -> Work:
            return do_work(choices)

        self._search.run(find, done, report)

    def give_up(self) -> None:
        """Drop what is still being looked for."""
        self._search.give_up()

    def _cancel(self) -> None:
        # Its thread comes to an end by itself; nothing of it is shown any more.
        if self._search.is_running and self._cancelled is not None:
            self._search.give_up()
            self._cancelled()
