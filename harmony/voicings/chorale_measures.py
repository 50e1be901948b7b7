"""The terms of the preset `chorale` in four parts: what Bach's chorales teach, term by term.

Each term is the sum of the learnt tables filed under it, so that together they are
the learnt cost. What the tables know nothing of is measured as in the other presets.
A semitone of motion stays a semitone, at its share of the learnt cost: what else the
tables say about moves, which way and in what company, belongs to where the notes
lead, `resolution`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from harmony.voicings import learnt_chorale
from harmony.voicings.candidates import Voicings
from harmony.voicings.chorale_tables import ASPECTS
from harmony.voicings.chorale_words import Teller
from harmony.voicings.costs import TERM_NAMES, Amounts, Cost, Item, Term
from harmony.voicings.learnt_chorale import LearntItem
from harmony.voicings.measures import SeparateMeasures
from harmony.voicings.steps import Steps

LEARNT = frozenset(term for aspect in ASPECTS for term in aspect.terms) - {"motion"}
ADDED = tuple(term for term in TERM_NAMES if term not in LEARNT)
"""Terms measured as usual: motion, and what the tables know nothing of."""
SHARE = 8
"""Hundredths of the learnt cost that a semitone of motion stands for."""
SHARED_UP_TO = 13
"""Semitones of one voice's move; the tables know no wider one, so what is beyond is added."""
_MOTION, _RESOLUTION = TERM_NAMES.index("motion"), TERM_NAMES.index("resolution")
UNIT = "factor of e (2.7) by which it is rarer in Bach's chorales"
LEAST_TOLD = 5
"""Entries of a bill below this, in hundredths, go into the largest of their term."""
ORDINARY = "the ordinary price of a chord"
ALL_ELSE = "all else, set against what is usual"
"""Items of this name stand in the bill once, whatever terms they come from."""


@dataclass(frozen=True, slots=True)
class ChoraleMeasures:
    """The learnt terms, and the usual measures of the terms that are added."""

    costs: tuple[Cost, ...]
    plain: SeparateMeasures

    @property
    def has_floor(self) -> bool:
        """False: no floor of the tables is known without looking at all steps."""
        return False

    @property
    def is_plain_in_motion(self) -> bool:
        """True: a semitone of motion stays a semitone."""
        return True

    def measure_voicings(self, voicings: Voicings) -> Amounts:
        """Amounts of every term for every voicing, shape (T, n)."""
        table = learnt_chorale.single_terms(voicings.pitches, voicings.sonority.key)
        for place, cost in self._added():
            amounts = cost.single(voicings)
            if amounts is not None:
                table[place] = amounts
        return table

    def measure_steps(self, steps: Steps) -> Amounts:
        """Amounts of every term for every step, shape (T, r, c)."""
        table = learnt_chorale.pair_terms(
            steps.before.pitches, steps.after.pitches, steps.after.sonority.key
        )
        for place, cost in self._added():
            amounts = cost.pair(steps)
            if amounts is not None:
                if place == _MOTION:
                    table[_RESOLUTION] += table[_MOTION]
                    shared = np.minimum(steps.sizes, SHARED_UP_TO).sum(axis=0, dtype=np.int32)
                    table[_RESOLUTION] -= shared * SHARE
                table[place] = amounts
        return table

    def ordinary(self, *, with_step: bool) -> tuple[int, ...]:
        """What is paid under each term where everything is as he writes on the whole."""
        paid = learnt_chorale.zero_terms(singles=True)
        if with_step:
            paid = paid + learnt_chorale.zero_terms(singles=False)
        return tuple(int(amount) for amount in paid)

    def _added(self) -> list[tuple[int, Cost]]:
        return [(TERM_NAMES.index(term), self.costs[TERM_NAMES.index(term)]) for term in ADDED]

    def explain(self, here: Voicings, steps: Steps | None) -> tuple[list[Item], ...]:
        """Items of every term for the only voicing, and the only step to it."""
        key = here.sonority.key
        entries = list(learnt_chorale.itemise_voicing(here.pitches[0], key))
        if steps is not None:
            before = steps.before.pitches[0]
            entries += learnt_chorale.itemise_step(before, here.pitches[0], key)
            entries = [_file_move(entry) for entry in entries]
            entries += [
                LearntItem("resolution", (voice,), -SHARE * min(size, SHARED_UP_TO))
                for voice, size in enumerate(steps.sizes[:, 0, 0].tolist())
                if size
            ]
        plain = self.plain.explain(here, steps)
        teller = Teller(here, steps, plain)
        paid = self.ordinary(with_step=steps is not None)
        return tuple(
            plain[place] if term in ADDED else _bill(term, entries, teller, paid[place])
            for place, term in enumerate(TERM_NAMES)
        )


def _file_move(entry: LearntItem) -> LearntItem:
    return replace(entry, term="resolution") if entry.term == "motion" else entry


def _bill(term: str, entries: list[LearntItem], teller: Teller, paid: int) -> list[Item]:
    """One term's bill: what is dearer than usual item by item, what is not in one item.

    With the ordinary price they add up to what the tables say.
    """
    charges: dict[tuple[int, ...], int] = {}
    for entry in entries:
        if entry.term == term:
            voices = teller.subject(term, entry.voices)
            charges[voices] = charges.get(voices, 0) + entry.amount
    items = [Item((), paid, ORDINARY)] if paid else []
    total = sum(charges.values())
    if total < LEAST_TOLD:
        return [*items, Item((), total, ALL_ELSE)] if total else items
    evened = even_out(list(charges.values()))
    told = [
        Item(voices, amount, teller.tell(term, voices))
        for voices, amount in zip(charges, evened, strict=True)
        if amount
    ]
    return items + told


def even_out(amounts: list[int]) -> list[int]:
    """Take what lies below 0, and what is too little to tell, out of the others' charges.

    The total stays what it was; where it lies below 0 one entry alone has it.

    >>> even_out([90, -30, 2, 30])
    [69, 0, 0, 23]
    """
    total = sum(amounts)
    if not total:
        return [0] * len(amounts)
    largest = max(range(len(amounts)), key=lambda place: amounts[place])
    if total < 0:
        return [total if place == largest else 0 for place in range(len(amounts))]
    charged = sum(amount for amount in amounts if amount > 0)
    shares = [max(amount, 0) * total // charged for amount in amounts]
    shares = [share if share >= LEAST_TOLD else 0 for share in shares]
    shares[largest] += total - sum(shares)
    return shares


def build_chorale_measures(plain: tuple[Cost, ...]) -> ChoraleMeasures:
    """Put the learnt tables in the place of the usual measures."""
    costs = tuple(cost if cost.name in ADDED else _learnt_term(cost) for cost in plain)
    return ChoraleMeasures(costs, SeparateMeasures(plain))


def _learnt_term(cost: Cost) -> Term:
    sentence = f"{_SENTENCES[cost.name]}, by how rare it is in Bach's chorales"
    return Term(
        cost.name, UNIT, sentence, "bach_chorales", learnt_chorale.GRAIN, cost.better, cost.allowed
    )


_SENTENCES = {
    "leaps": "moves wider than a third",
    "common_tones": "voices that leave a note the next chord still has",
    "consecutive_perfects": "consecutive fifths, octaves and unisons",
    "direct_perfects": "fifths, octaves and unisons reached in similar motion",
    "overlap": "a voice that passes where its neighbour just was",
    "spacing": "how far apart the voices stand",
    "doubling": "what is doubled",
    "completeness": "a fifth left out",
    "resolution": "where notes lead, leading tones and sevenths too, and how voices move together",
    "register": "how high or low each voice lies",
    "top_line": "how the highest voice goes on, and how the bass goes with it",
}
