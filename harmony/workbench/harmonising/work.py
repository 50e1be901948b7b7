"""From choices to harmonisations: themes opened, the question asked, answers kept at hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.harmonising.again import closer, less_like, other_chords
from harmony.harmonising.compare import join_bars
from harmony.harmonising.figures import name_chords
from harmony.harmonising.given import harmonise_given, plan_given_spans
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.keyless import NO_KEY, leave_out_keys, weigh_without_key
from harmony.harmonising.lines import Given
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span, drag, join, split
from harmony.pitch import Theme
from harmony.workbench.harmonising.state import MOST_SHOWN, Again, Choices, Edit, Joint, Question
from harmony.workbench.harmonising.tune import open_given, read_tune
from harmony.workbench.harmonising.weighing import weigh
from harmony.workbench.scores import when_changed

LETTERS = "ABCDEFGH"
_KEPT = 24


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What was found for some choices; ``found`` may end with joined alternatives."""

    choices: Choices
    found: Harmonisations

    @property
    def alternatives(self) -> tuple[Harmonisation, ...]:
        """All that is compared, A first."""
        return self.found.alternatives

    @property
    def theme(self) -> Theme:
        """The tune."""
        return self.found.theme

    @property
    def melody(self) -> Melody:
        """The tune analysed."""
        return self.found.melody

    @property
    def number(self) -> int:
        """The number of the alternative shown, from 0."""
        return min(self.choices.shown, len(self.alternatives) - 1)

    @property
    def shown(self) -> Harmonisation:
        """The alternative that is written out."""
        return self.alternatives[self.number]


def do_work(choices: Choices) -> Work:
    """Find everything the desk shows.

    Raises
    ------
    HarmonyError
        If the theme cannot be opened or nothing answers the question.
    """
    found = answer(choices.question)
    if choices.question.key == NO_KEY:
        return Work(choices, leave_out_keys(found))
    return Work(choices, name_chords(found, choices.figures))


def answer(question: Question) -> Harmonisations:
    """Find the harmonisations asked for; the last few answers are kept."""
    return _answer(question, when_changed(question.source))


@lru_cache(maxsize=_KEPT)
def _answer(question: Question, changed: float) -> Harmonisations:
    if question.turns:
        *earlier, turn = question.turns
        found = _answer(replace(question, turns=tuple(earlier)), changed)
        return _join(found, turn) if isinstance(turn, Joint) else _ask_again(found, turn)
    melody, given = read_tune(question), open_given(question)
    weights = weigh(question)
    is_planned = not (question.rhythm or question.locked)
    return harmonise_given(
        melody,
        given,
        idioms=question.idioms,
        count=question.count,
        fixed=question.fixes,
        spans=None if is_planned else _edited_spans(melody, given, question),
        pace=question.pace,
        weights=weights if question.key != NO_KEY else weigh_without_key(question.idioms, weights),
    )


def _join(found: Harmonisations, joint: Joint) -> Harmonisations:
    if joint.first == joint.second:
        raise HarmonyError(
            "An alternative is not joined to itself; choose another letter for one of the two."
        )
    joined = join_bars(found, joint.first, joint.second, at_bar=joint.bar)
    return replace(found, alternatives=(*found.alternatives, joined))


def _ask_again(found: Harmonisations, again: Again) -> Harmonisations:
    """Put what is asked for again after the alternative it was asked of."""
    count = MOST_SHOWN - 1
    # Asked of this one alone, the answers name it by the letter it has from now on.
    one = found.alternative(again.number)
    alone = replace(found, alternatives=(one,))
    if again.kind == "closer":
        answers = closer(alone, 1, count=count)
    elif again.kind == "less":
        answers = less_like(alone, 1, count=count)
    else:
        answers = other_chords(alone, 1, bars=(again.first, again.last), count=count)
    return replace(answers, alternatives=(one, *answers.alternatives))


def _edited_spans(melody: Melody, given: Given, question: Question) -> tuple[Span, ...]:
    spans = plan_given_spans(melody, given, pace=question.pace)
    for start, end in question.locked:
        spans = lock_span(spans, start, end)
    for edit in question.rhythm:
        spans = edit_spans(spans, edit)
    return spans


def lock_span(spans: tuple[Span, ...], start: Fraction, end: Fraction) -> tuple[Span, ...]:
    """Lay a locked stretch into the harmonic rhythm in place of what is planned there."""
    spans = split(split(spans, start), end)
    before = tuple(span for span in spans if span.end <= start)
    after = tuple(span for span in spans if span.onset >= end)
    return (*before, Span(start, end - start, is_locked=True), *after)


def edit_spans(spans: tuple[Span, ...], edit: Edit) -> tuple[Span, ...]:
    """Change the harmonic rhythm.

    Raises
    ------
    HarmonyError
        If the stretch is locked, or no chord begins at the time.
    """
    if edit.kind in ("lock", "unlock"):
        is_locked = edit.kind == "lock"
        return tuple(replace(s, is_locked=is_locked) if s.onset == edit.at else s for s in spans)
    for span in spans:
        touches = span.onset <= edit.at < span.end if edit.kind == "split" else edit.at in (
            span.onset, span.end
        )  # fmt: skip
        if span.is_locked and touches:
            raise HarmonyError("That stretch of the harmonic rhythm is locked; unlock it first.")
    if edit.to is not None:
        return drag(spans, edit.at, edit.to)
    return split(spans, edit.at) if edit.kind == "split" else join(spans, edit.at)


def place_text(theme: Theme, onset: Fraction) -> str:
    """Write a time as the engine reads places: ``3.1``, ``4.2.5``, ``4.8/3``."""
    bar, beat = theme.meters.locate(onset)
    parts = beat.denominator
    # A half or quarter beat has an exact decimal; a third of one has not.
    return f"{bar}.{f'{float(beat):g}' if parts & (parts - 1) == 0 else beat}"


def chords_to_fixes(work: Work, one: Harmonisation, bars: frozenset[int]) -> tuple[str, ...]:
    """Write the chords that begin in some bars as fixed ones."""
    return tuple(
        f"{place_text(work.theme, slot.onset)}="
        f"{'' if slot.key is None else f'{slot.key}: '}{slot.figure}"
        for slot in one.progression
        if slot.chord is not None and slot.bar in bars
    )
