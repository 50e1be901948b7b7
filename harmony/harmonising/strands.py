"""Strands with a start and an end: notes held through the chords."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from harmony.harmonising.chain import Chain

FREE = -1
BELOW, INNER, ABOVE = "below", "inside", "above"
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
    """A pedal of one or several lines, or a figure that repeats (``is_figure``), over the spans.

    ``whole`` says how often a figure comes whole.
    """

    name: str
    sentence: str
    lines: tuple[HeldLine, ...]
    is_figure: bool = False
    whole: int = 0

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
