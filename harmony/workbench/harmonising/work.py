"""From choices to harmonisations: themes opened, the question asked, answers kept at hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.harmonising.api import harmonise
from harmony.harmonising.compare import join_bars
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span, drag, join, plan_spans, split
from harmony.pitch import Theme
from harmony.workbench.harmonising.state import Choices, Edit, Question
from harmony.workbench.harmonising.tune import read_tune, when_changed
from harmony.workbench.words import write_beat

LETTERS = "ABCDEFGH"
PACES = ("usual", "slow", "beats")
_KEPT = 24


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What was found for some choices; ``found`` ends with the joined alternatives."""

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
    return Work(choices, answer(choices.question))


def answer(question: Question) -> Harmonisations:
    """Find the harmonisations asked for; the last few answers are kept."""
    return _answer(question, when_changed(question.source))


@lru_cache(maxsize=_KEPT)
def _answer(question: Question, changed: float) -> Harmonisations:
    if question.joints:
        *earlier, joint = question.joints
        found = _answer(replace(question, joints=tuple(earlier)), changed)
        if joint.first == joint.second:
            raise HarmonyError("Two different alternatives are joined; choose another for one.")
        joined = join_bars(found, joint.first, joint.second, at_bar=joint.bar)
        return replace(found, alternatives=(*found.alternatives, joined))
    melody = read_tune(question)
    return harmonise(
        melody,
        idioms=question.idioms,
        count=question.count,
        fixed=question.fixes,
        spans=_edited_spans(melody, question) if question.rhythm or question.locked else None,
        pace=question.pace,
    )


def _edited_spans(melody: Melody, question: Question) -> tuple[Span, ...]:
    spans = plan_spans(melody, pace=question.pace)
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
    """Write a time as the engine reads places: ``3.1``, ``4.2.5``."""
    bar, beat = theme.meters.locate(onset)
    return f"{bar}.{write_beat(beat)}"


def chords_to_fixes(
    work: Work, one: Harmonisation, bars: frozenset[int], *, forbidden: bool = False
) -> tuple[str, ...]:
    """Write the chords that begin in some bars as fixed (or forbidden) ones."""
    sign = "!=" if forbidden else "="
    return tuple(
        f"{place_text(work.theme, slot.onset)}{sign}"
        f"{'' if slot.key is None else f'{slot.key}: '}{slot.figure}"
        for slot in one.progression
        if slot.chord is not None and slot.bar in bars
    )


def best_bars(one: Harmonisation) -> frozenset[int]:
    """The half of the bars that cost least for their length."""
    costs = one.bar_costs
    ordered = sorted(costs, key=lambda bar: (costs[bar], bar))
    return frozenset(ordered[: max(1, len(ordered) // 2)])


def middle_bars(work: Work, one: Harmonisation) -> frozenset[int]:
    """Every second bar between the first and the last, phrase ends left free."""
    bars = sorted(one.bar_costs)
    ends = {work.theme.meters.locate(phrase.end)[0] for phrase in work.melody.phrases}
    return frozenset(bar for bar in bars[1:-1:2] if bar not in ends)
