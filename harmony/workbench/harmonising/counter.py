"""A counter-melody written to the tune under an alternative: its notes, and what is said of it."""

from __future__ import annotations

from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.harmonising.counter import check_counter_melody, write_counter_melody
from harmony.harmonising.lines import MELODY
from harmony.pitch import Theme
from harmony.workbench.harmonising.state import Question
from harmony.workbench.harmonising.words import say_place
from harmony.workbench.harmonising.work import LETTERS, Work, answer

_KEPT = 16


def counter_of(work: Work) -> Theme | None:
    """Give the counter-melody under the alternative shown; None where there is none."""
    return _write(work.choices.question, work.number)[0] if work.choices.has_counter else None


@lru_cache(maxsize=_KEPT)
def _write(question: Question, number: int) -> tuple[Theme | None, str]:
    """The line, or why there is none."""
    if question.given != MELODY:
        return None, "A counter-melody is written to a melody; choose the melody for what it is."
    try:
        return write_counter_melody(answer(question).alternatives[number]), ""
    except HarmonyError as fault:
        return None, str(fault)


def say_counter(work: Work) -> str:
    """Tell how the counter-melody goes against the tune, or why there is none; empty without."""
    if not work.choices.has_counter:
        return ""
    line, why_not = _write(work.choices.question, work.number)
    if line is None:
        return why_not
    told = check_counter_melody(work.theme, line)
    return (
        f"The counter-melody to {LETTERS[work.number]}: {told.share_between:.0%} of its notes begin"
        f" while the tune holds or rests, {told.contrary:.0%} of the steps both take go against"
        f" each other; it is highest in {say_place(work.theme, told.own_peak)}, the tune in"
        f" {say_place(work.theme, told.tune_peak)}."
    )
