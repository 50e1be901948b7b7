"""The terms of the preset `chorale` in four parts, which together are what Bach's chorales teach.

The learnt tables judge a step as a whole.  So that every term keeps its meaning and
its unit (a semitone of motion stays a semitone), the terms measure what they measure
elsewhere, each at its share of the learnt cost; what the tables say beyond that is the term
`resolution`: where notes lead, and the habits of the chorales.  Weighted with the
shares they add up to exactly the learnt cost.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isclose

import numpy as np

from harmony.voicings import learnt_chorale
from harmony.voicings.candidates import Voicings
from harmony.voicings.chorale_tables import ASPECTS
from harmony.voicings.costs import TERM_NAMES, Amounts, Cost, Item, Term
from harmony.voicings.measures import SeparateMeasures
from harmony.voicings.steps import Steps

REST = "resolution"
"""The term that takes what the tables say beyond the others."""
LEARNT = frozenset(term for aspect in ASPECTS for term in aspect.terms)
ADDED = tuple(term for term in TERM_NAMES if term not in LEARNT)
"""Terms the tables know nothing of; they are added to the learnt cost."""
_REST_PLACE = TERM_NAMES.index(REST)


@dataclass(frozen=True, slots=True)
class ChoraleMeasures:
    """The usual measures, and under `resolution` what the learnt tables add to them.

    `shares` are what a unit of each term makes of the learnt cost, in the grain of
    the tables; 0 for the terms that are added to it.
    """

    costs: tuple[Cost, ...]
    plain: SeparateMeasures
    shares: tuple[int, ...]

    @property
    def has_floor(self) -> bool:
        """False: what the tables say may lie below 0."""
        return False

    @property
    def is_plain_in_motion(self) -> bool:
        """True: a semitone of motion stays a semitone."""
        return True

    def measure_voicings(self, voicings: Voicings) -> Amounts:
        """Amounts of every term for every voicing, shape (T, n)."""
        table = self.plain.measure_voicings(voicings)
        learnt = learnt_chorale.single_terms(voicings.pitches, voicings.sonority.key)
        return self._with_rest(table, learnt)

    def measure_steps(self, steps: Steps) -> Amounts:
        """Amounts of every term for every step, shape (T, r, c)."""
        table = self.plain.measure_steps(steps)
        learnt = learnt_chorale.pair_terms(
            steps.before.pitches, steps.after.pitches, steps.after.sonority.key
        )
        return self._with_rest(table, learnt)

    def _with_rest(self, table: Amounts, learnt: Amounts) -> Amounts:
        rest = learnt.sum(axis=0, dtype=np.int32)
        for amounts, share in zip(table, self.shares, strict=True):
            if share:
                rest -= amounts.astype(np.int32) * share
        table[_REST_PLACE] = rest
        return table

    def explain(self, here: Voicings, steps: Steps | None) -> tuple[list[Item], ...]:
        """Items of every term for the only voicing, and the only step to it."""
        found = list(self.plain.explain(here, steps))
        found[_REST_PLACE] = self._explain_rest(here, steps, found)
        return tuple(found)

    def _explain_rest(
        self, here: Voicings, steps: Steps | None, plain: list[list[Item]]
    ) -> list[Item]:
        """What the tables add for each voice, and for the voices together."""
        key = here.sonority.key
        entries = list(learnt_chorale.itemise_voicing(here.pitches[0], key))
        if steps is not None:
            before = steps.before.pitches[0]
            entries += learnt_chorale.itemise_step(before, here.pitches[0], key)
        together = tuple(range(here.pitches.shape[1]))
        totals: dict[tuple[int, ...], int] = {(voice,): 0 for voice in together}
        totals[together] = 0
        for entry in entries:
            totals[entry.voices if len(entry.voices) == 1 else together] += entry.amount
        for items, share in zip(plain, self.shares, strict=True):
            for item in items:
                voices = item.voices if len(item.voices) == 1 else together
                totals[voices] -= item.amount * share
        return [Item(voices, amount, _tell(voices, amount)) for voices, amount in totals.items()]


def _tell(voices: tuple[int, ...], amount: int) -> str:
    subject = "what {0} does" if len(voices) == 1 else "how the voices go together"
    habit = "rarer than usual" if amount > 0 else "commoner than usual"
    return f"{subject} here is {habit} in Bach's chorales"


def build_chorale_measures(
    plain: tuple[Cost, ...], weights: Mapping[str, float]
) -> ChoraleMeasures:
    """Set the learnt tables beside the usual terms, whose shares are `weights`.

    Raises ValueError when a weight is finer than the grain of the tables.
    """
    shares = []
    for cost in plain:
        if cost.name == REST or cost.name in ADDED:
            shares.append(0)
            continue
        share = weights[cost.name] * learnt_chorale.GRAIN
        if not isclose(share, round(share)):
            raise ValueError(f"{cost.name}: {weights[cost.name]} is finer than the learnt tables")
        shares.append(round(share))
    costs = tuple(_rest_term() if cost.name == REST else cost for cost in plain)
    return ChoraleMeasures(costs, SeparateMeasures(plain), tuple(shares))


def _rest_term() -> Term:
    return Term(
        REST,
        "factor of e in how often Bach writes it",
        "where notes lead, and what else is rarer or commoner in Bach's chorales",
        "bach_chorales",
        learnt_chorale.GRAIN,
    )
