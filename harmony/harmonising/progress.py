"""How far a search for harmonisations is, told to whoever looks on, who may give it up."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from harmony.errors import HarmonyError


@dataclass(frozen=True, slots=True)
class HarmonisingProgress:
    """So many harmonisations found of so many wanted in an idiom."""

    found: int
    wanted: int
    idiom: str


#: Told of progress in the search's own thread; True asks it to stop.
HarmonisingReport = Callable[[HarmonisingProgress], bool]
# Answers are kept by their question, so who looks on is no argument of the search.
_looking_on: ContextVar[HarmonisingReport | None] = ContextVar("looking_on", default=None)


class GivenUpError(HarmonyError):
    """A search that was given up by whoever looked on."""


@contextmanager
def told_to(report: HarmonisingReport) -> Iterator[None]:
    """Tell ``report`` how far the searches inside the block are."""
    token = _looking_on.set(report)
    try:
        yield
    finally:
        _looking_on.reset(token)


def tell_found(found: int, wanted: int, idiom: str) -> None:
    """Tell whoever looks on how far a search is.

    Raises
    ------
    GivenUpError
        Where they ask to stop.
    """
    report = _looking_on.get()
    if report is not None and report(HarmonisingProgress(found, wanted, idiom)):
        raise GivenUpError("The search was given up; ask again for what it looked for.")
