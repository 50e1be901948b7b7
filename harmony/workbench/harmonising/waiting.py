"""What is asked of a long tune: found beside the desk, with its progress and a way out."""

from __future__ import annotations

from collections.abc import Callable

from harmony.errors import HarmonyError
from harmony.harmonising.progress import HarmonisingProgress, told_to
from harmony.workbench.harmonising.state import Choices, Joint
from harmony.workbench.harmonising.voicing import chords_of
from harmony.workbench.harmonising.work import Work, do_work
from harmony.workbench.parts.background import LongSearch, Watch
from harmony.workbench.parts.guard import Reporter
from harmony.workbench.scores import open_source

LONG = 80  # chords, or as many bars of a new tune; fewer are found in well under a second
_PATIENCE_SECONDS = 0.3


def takes_long(choices: Choices, work: Work) -> bool:
    """True where harmonisations not found yet are asked of a tune of many chords or bars."""
    asked, had = choices.question, work.choices.question
    if asked == had or (asked.turns and isinstance(asked.turns[-1], Joint)):
        return False
    if (asked.source, asked.part, asked.bars) == (had.source, had.part, had.bars):
        return is_long(work)
    try:
        theme = open_source(asked.source, asked.part, asked.bars)
    except HarmonyError:
        return False  # said where it is opened
    return len(theme.meters.bars_through(theme.line.end)) > LONG


def is_long(work: Work) -> bool:
    """True where the notes of another alternative take a while to be written out."""
    return len(work.found.spans) > LONG


def say_progress(progress: HarmonisingProgress) -> str:
    """Say how many harmonisations there are so far."""
    return (
        f"Harmonising: {progress.found} of {progress.wanted} found ({progress.idiom}); Cancel"
        " leaves all as it is."
    )


class Waiting:
    """The line that stands there meanwhile. ``box`` is what is laid out on the desk."""

    def __init__(self) -> None:
        self._cancelled: Callable[[], object] | None = None
        self._search = LongSearch(
            say_progress,
            begins="Looking through every way the tune can go; Cancel leaves all as it is.",
            patience_seconds=_PATIENCE_SECONDS,
        )
        self.message = self._search.message
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

        def find(watch: Watch) -> Work:
            with told_to(watch):
                work = do_work(choices)
            # Writing out the notes takes as long as the search; what is kept is drawn at once.
            chords_of(work, work.number)
            return work

        self._search.run(find, done, report)

    def give_up(self) -> None:
        """Drop what is still being looked for."""
        self._search.give_up()

    def _cancel(self) -> None:
        # Its thread comes to an end with what it is at; nothing of it is shown any more.
        if self._search.is_running and self._cancelled is not None:
            self._search.give_up()
            self._cancelled()
