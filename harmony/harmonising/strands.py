"""Strands with a start and an end: notes held through the chords, and basses that repeat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from harmony.harmonising.chain import Chain
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span, plan_spans, split

FREE = -1
BELOW, INNER, ABOVE = "below", "inside", "above"
_FEWEST_NOTES = 12  # of a bass that repeats
_CLASH = 0.35  # each semitone between a held note and a note of a chord
_INNER_CLASH = 0.7  # the same in the middle, where it is heard closest


@dataclass(frozen=True, slots=True)
class HeldLine:
    """One note a span, in semitones above the tonic, FREE (-1) where the line is silent.

    ``place`` is where it lies: ``below`` the chords, ``inside`` or ``above`` them.
    """

    notes: tuple[int, ...]
    place: str = BELOW

    def stretches(self) -> Iterator[tuple[int, int, int]]:
        """Give each note held, with its first and its last span."""
        for note, group in groupby(enumerate(self.notes), key=lambda pair: pair[1]):
            places = [place for place, _ in group]
            if note != FREE:
                yield note, places[0], places[-1]


@dataclass(frozen=True, slots=True)
class Strand:
    """A pedal of one or several lines, or a bass figure (``is_figure``), over the spans."""

    name: str
    sentence: str
    lines: tuple[HeldLine, ...]
    is_figure: bool = False

    def cut(self, part: range) -> Strand:
        """Give the strand of some spans alone."""
        lines = (replace(one, notes=one.notes[part.start : part.stop]) for one in self.lines)
        return replace(self, lines=tuple(lines))


def hold_pedal(chain: Chain, strand: Strand) -> None:
    """Judge the chords of a chain around a pedal.

    Every held note belongs to the chord where it comes in and to the one where it
    leaves; inside, each semitone between it and a note of the chord costs a little.
    Above a bass that is held the chords are read without it, so none is an inversion
    there and the bass line has nothing to say; under or around a held note they
    have basses of their own. A chain without a chord left somewhere cannot take it.
    """
    vocabulary = chain.vocabulary
    members = vocabulary.members
    stands = vocabulary.basses == vocabulary.roots
    count = len(chain.spans)
    is_held = np.zeros(count, bool)
    for line in strand.lines:
        for note, first, last in line.stretches():
            for end in (first, last):
                chain.allowed[end] &= members[:, note]
            clash = members[:, (note + 1) % 12].astype(float) + members[:, (note - 1) % 12]
            # A chord that has the note itself takes it in; the rest must bear it.
            cost = _INNER_CLASH if line.place == INNER else _CLASH
            chain.nodes["key_distance"][first : last + 1] += cost * clash
            if line.place == BELOW:
                is_held[first : last + 1] = True
                if stands.any():
                    chain.allowed[first : last + 1] &= stands
    final = chain.finals[-1]
    if (chain.allowed[final] & stands).any():
        chain.allowed[final:] &= stands
    nothing = np.zeros((len(vocabulary), len(vocabulary)))
    for term in ("bass_line", "outer_voices"):
        chain.steps[term] = [
            nothing if is_held[place] and is_held[place - 1] else table
            for place, table in enumerate(chain.steps[term], start=1)
        ]


def plan_ground(melody: Melody) -> tuple[Span, ...]:
    """The harmonic rhythm a bass figure repeats in: even, and short enough to come again.

    A figure of four notes is to be heard three times at least, so bars are halved
    where there are too few of them and their middle is a beat.
    """
    spans = plan_spans(melody, pace="even")
    meters = melody.theme.meters
    if len(spans) < _FEWEST_NOTES:
        for span in spans:
            middle = span.onset + span.duration / 2
            if meters.locate(middle)[1].denominator == 1:
                spans = split(spans, middle)
    return spans


def plan_figures(
    figures: Mapping[str, Sequence[int]],
    count: int,
    final: int,
    scale: Sequence[int],
    *,
    is_minor: bool,
) -> tuple[Strand, ...]:
    """Bass figures laid under ``count`` spans, again and again.

    From the span ``final`` on, where the tune's last note begins, the tonic stands.
    Figures that come whole before it are given first.
    """
    strands: list[tuple[int, Strand]] = []
    for name, notes in figures.items():
        diatonic = all(note in scale for note in notes)
        if not diatonic and not (is_minor and "chromatic" in name):
            continue
        laid = [notes[place % len(notes)] for place in range(final)] + [0] * (count - final)
        whole, rest = _count_statements(notes, final)
        sentence = (
            f"the bass repeats the {name}, {_times(whole, rest=rest)}, and stops on the tonic"
        )
        line = HeldLine(tuple(laid))
        strands.append((rest, Strand(name, sentence, (line,), is_figure=True)))
    return tuple(strand for _, strand in sorted(strands, key=lambda pair: pair[0] > 0))


def breaks_off(strand: Strand, figures: Mapping[str, Sequence[int]], final: int) -> bool:
    """True where the last statement of a figure breaks off before the close."""
    return _count_statements(figures[strand.name], final)[1] > 0


def _count_statements(notes: Sequence[int], places: int) -> tuple[int, int]:
    """Whole statements before the close, and how many notes of another one remain.

    A figure that ends on the tonic may take the close itself for its last note.
    """
    whole, rest = divmod(places, len(notes))
    if rest == len(notes) - 1 and notes[-1] == 0:
        return whole + 1, 0
    return whole, rest


def _times(whole: int, *, rest: int) -> str:
    """How often a figure comes, in words."""
    words = ("", "once", "twice", "three times", "four times", "five times", "six times")
    often = words[whole] if whole < len(words) else f"{whole} times"
    if not rest:
        return often
    return f"{often} and a part of it" if whole else "a part of it"


def hold_figure(chain: Chain, strand: Strand) -> None:
    """Allow in each span only chords that stand on the figure's note."""
    basses = chain.vocabulary.basses
    for place, note in enumerate(strand.lines[0].notes):
        chain.allowed[place] &= np.asarray(basses == note)
