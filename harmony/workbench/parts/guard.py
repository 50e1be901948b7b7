"""The one wrapper around every callback: what a callback raises is shown, never dropped."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol

from harmony.errors import HarmonyError


class Reporter(Protocol):
    """Shows the composer a fault: ours to fix (``unforeseen``) or in what was given."""

    def __call__(self, fault: Exception, *, unforeseen: bool) -> None:
        """Show the fault."""


class Complaining(Protocol):
    """A part that tells what is wrong with what was given to it."""

    def complain(self, message: str, /) -> None:
        """Tell it."""


class Saying(Protocol):
    """A part that says how things went."""

    def say(self, message: str, /, *, tone: str = "") -> None:
        """Say it; ``tone`` is empty or ``fault``."""


class Guard:
    """Wraps callbacks so that what they raise reaches the screen.

    ipywidgets drops exceptions raised in ``observe``; without this a press of a
    button could do nothing and say nothing.
    """

    def __init__(self, report: Reporter) -> None:
        self._report = report

    def __call__(self, callback: Callable[..., object]) -> Callable[..., None]:
        """Give the callback wrapped."""

        @wraps(callback)
        def guarded(*arguments: Any, **named: Any) -> None:
            try:
                callback(*arguments, **named)
            except HarmonyError as fault:
                self._report(fault, unforeseen=False)
            except Exception as fault:
                logging.getLogger("harmony.workbench").exception("a callback failed")
                self._report(fault, unforeseen=True)

        return guarded


def tell_fault(fault: Exception, *, unforeseen: bool) -> str:
    """Put a fault into one sentence; one that nobody foresaw is said to be the workbench's."""
    words = " ".join(str(fault).split())
    if not unforeseen:
        return words
    return (
        f"The workbench itself failed here ({type(fault).__name__}: {words or 'no more is known'});"
        " what was on the screen before is unchanged."
    )


def complaining(part: Complaining) -> Reporter:
    """Give what has faults told beside a part, at what was given there."""

    def report(fault: Exception, *, unforeseen: bool) -> None:
        part.complain(tell_fault(fault, unforeseen=unforeseen))

    return report


def saying(part: Saying) -> Reporter:
    """Give what has faults told where a part says how things went."""

    def report(fault: Exception, *, unforeseen: bool) -> None:
        part.say(tell_fault(fault, unforeseen=unforeseen), tone="fault")

    return report
