"""A search that takes long, in stages: a good voicing, the proof, the alternatives."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from harmony.search import Progress, Report, StoppedError, stop_if_asked, stoppable
from harmony.workbench.parts.background import Watch
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import Work, find_alternatives, find_best
from harmony.workbench.words import write_cost

PROVING, OTHERS, PRICES = "the best", "alternatives", "what other notes cost"
RULES = "what the rules cost"
BEGINNING = "Listing the voicings \u2026"


@dataclass(frozen=True, slots=True)
class Looking:
    """What is looked for, and how far that is; None while lists and tables are made for it."""

    aim: str
    progress: Progress | None = None


def find_in_stages(choices: Choices, watch: Watch, show: Callable[[Work], object]) -> Work:
    """Find the best, proven, and its alternatives; what there is meanwhile goes to ``show``.

    Where ``watch`` asks to stop, what is there by then comes back.
    """
    with heeding(watch, PROVING):
        best = find_best(
            choices,
            report_to(watch, PROVING),
            first=lambda found: watch.hand_over(show, found),
        )
    if best.shown.outcome.status != "optimal":
        return replace(best, is_whole=True, is_cut_short=True)
    watch.hand_over(show, best)
    try:
        with heeding(watch, OTHERS):
            stop_if_asked()
            found = find_alternatives(choices, report_to(watch, OTHERS))
    except StoppedError:
        return replace(best, is_whole=True, is_cut_short=True)
    # Stopped there, the best is no less proven than it was.
    return replace(found, alternatives=(best.shown, *found.alternatives[1:]))


@contextmanager
def heeding(watch: Watch, aim: str) -> Iterator[None]:
    """Let the lists and tables made inside for an aim be left once ``watch`` asks to stop.

    Raises
    ------
    StoppedError
        Where it does.
    """
    with stoppable(lambda: watch(Looking(aim))):
        yield


def report_to(watch: Watch, aim: str) -> Report:
    """Give the report of a search that tells ``watch`` how far it is with ``aim``."""
    return lambda progress: not watch(Looking(aim, progress))


def tell_progress(looking: Looking) -> str:
    """Put the progress into a sentence."""
    progress = looking.progress
    if progress is None:
        return BEGINNING if looking.aim == PROVING else f"Looking for {looking.aim} \u2026"
    if looking.aim == OTHERS:
        told = "Looking for alternatives \u2026"  # in rounds, of which nobody knows how many
    elif looking.aim == RULES:
        told = "Looking for what the rules cost \u2026"  # a search for each
    elif looking.aim == PRICES:
        told = f"Looking for {looking.aim}, {progress.share:.0%} done."
    else:
        found, floor = write_cost(progress.value), write_cost(progress.lower_bound)
        told = (
            f"Looking for the best, {progress.share:.0%} done: what is shown costs {found};"
            f" nothing can cost less than {floor}."
        )
    if progress.makes_engine:
        told += " The fast engine is made for the first time on this machine, which takes seconds."
    return told
