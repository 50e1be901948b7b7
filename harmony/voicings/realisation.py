"""A progression realised: the pitches, and what each of them costs and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmony.chords.progression import Progression
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.spelling import Pitch
from harmony.search import Outcome
from harmony.units import quarters_to_json
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import Cost, Item
from harmony.voicings.measures import Measures
from harmony.voicings.melody import GivenLine
from harmony.voicings.steps import Steps

SLOW = (
    "So many voices are found several times faster with the compiled search,"
    " an extra: pip install .[fast]"
)


@dataclass(frozen=True, slots=True)
class Charge:
    """One entry of the bill at a chord.

    `cost` is weighted.  `voices` are counted from the top; empty where the charge
    concerns the chord as a whole.  `words` name the voices.  `term` is empty where
    several terms have a part in it.
    """

    term: str
    cost: float
    words: str
    voices: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Realisation:
    """A progression laid out for the voices of an ensemble.

    `pitches[slot][voice]` are spelled, top voice first; empty where no chord is.
    `amounts` has shape (slots, costs): what each cost measures at each chord, the
    step to it included, before weighing.  `chosen` are the voicings it was taken
    from, one for each chord.
    """

    progression: Progression
    ensemble: Ensemble
    pitches: tuple[tuple[Pitch, ...], ...]
    outcome: Outcome
    cost: float
    measures: Measures
    weights: Mapping[str, float]
    amounts: NDArray[np.int64]
    chosen: tuple[Voicings | None, ...]
    given: tuple[GivenLine, ...] = ()

    @property
    def costs(self) -> tuple[Cost, ...]:
        """The terms, in their usual order."""
        return self.measures.costs

    @cached_property
    def _rates(self) -> tuple[float, ...]:
        """What one amount of each cost is charged with."""
        return tuple(self.weights[cost.name] / cost.grain for cost in self.costs)

    @cached_property
    def term_costs(self) -> dict[str, float]:
        """The weighted cost of each term over the whole; they add up to the cost."""
        totals = self.slot_costs.sum(axis=0)
        return {cost.name: float(x) for cost, x in zip(self.costs, totals, strict=True)}

    @cached_property
    def slot_costs(self) -> NDArray[np.float64]:
        """Weighted costs, shape (slots, costs)."""
        result: NDArray[np.float64] = self.amounts * np.array(self._rates)
        return result

    @cached_property
    def ordinary_costs(self) -> NDArray[np.float64]:
        """What of the costs every such chord pays, shape (slots, costs)."""
        paid = np.zeros(self.amounts.shape)
        for slot, here in enumerate(self.chosen):
            if here is not None:
                with_step = slot > 0 and self.chosen[slot - 1] is not None
                paid[slot] = self.measures.ordinary(with_step=with_step)
        result: NDArray[np.float64] = paid * np.array(self._rates)
        return result

    @cached_property
    def charges(self) -> tuple[tuple[Charge, ...], ...]:
        """The bill at each chord, in words, the dearest first; it adds up to the cost.

        What several terms call the same, and put to no voice, stands in it once.
        """
        return tuple(_join_alike(charges) for charges in self._charges_by_term)

    @cached_property
    def _charges_by_term(self) -> tuple[tuple[Charge, ...], ...]:
        return tuple(self._charges_at(slot) for slot in range(len(self.chosen)))

    @cached_property
    def terms(self) -> tuple[tuple[dict[str, float], ...], ...]:
        """`terms[slot][voice]`: weighted cost by term, charges shared evenly by their voices."""
        count = len(self.ensemble)
        table = []
        for charges in self._charges_by_term:
            shares: list[dict[str, float]] = [{} for _ in range(count)]
            for charge in charges:
                voices = charge.voices or tuple(range(count))
                for voice in voices:
                    share = shares[voice]
                    share[charge.term] = share.get(charge.term, 0.0) + charge.cost / len(voices)
            table.append(tuple(shares))
        return tuple(table)

    def _charges_at(self, slot: int) -> tuple[Charge, ...]:
        here = self.chosen[slot]
        if here is None:
            return ()
        before = self.chosen[slot - 1] if slot else None
        steps = None if before is None else Steps(before, here)
        itemised = self.measures.explain(here, steps)
        found = []
        for place, (cost, rate) in enumerate(zip(self.costs, self._rates, strict=True)):
            amount = int(self.amounts[slot, place])
            if not rate:
                continue
            items = itemised[place]
            rest = amount - sum(item.amount for item in items)
            if rest:
                items = [*items, Item((), rest, cost.sentence)]
            found += [self._charge(cost.name, rate, item) for item in items if item.amount]
        return tuple(found)

    def _charge(self, term: str, rate: float, item: Item) -> Charge:
        top = len(self.ensemble) - 1
        names = [self.ensemble.voices[top - voice].name for voice in item.voices]
        words = item.words.format(*names)
        voices = tuple(top - voice for voice in item.voices)
        return Charge(term, rate * item.amount, words[:1].upper() + words[1:], voices)

    @property
    def note(self) -> str:
        """What a reader may want to know about how it was found; empty for nothing."""
        return SLOW if self.outcome.is_slow else ""

    def to_json(self) -> dict[str, Any]:
        """The alternative as the command prints it.

        Besides the usual keys there is a `note` where there is something to say, and
        `ordinary` where every chord pays something: that much of its terms.
        """
        names = [cost.name for cost in self.costs]
        slots = []
        for slot, pitches, row, paid in zip(
            self.progression.slots, self.pitches, self.slot_costs.tolist(),
            self.ordinary_costs.tolist(), strict=True,
        ):  # fmt: skip
            slots.append(
                {
                    "offset": quarters_to_json(slot.onset),
                    "duration": quarters_to_json(slot.duration),
                    "figure": slot.figure,
                    "pitches": [str(pitch) for pitch in pitches],
                    "terms": dict(zip(names, row, strict=True)),
                    **_name_ordinary(names, paid),
                }
            )
        bound = self.outcome.lower_bound
        return {
            "cost": self.cost,
            "status": self.outcome.status,
            "lower_bound": min(bound, self.cost) if self.outcome.status == "stopped" else self.cost,
            "terms": self.term_costs,
            "slots": slots,
            **_name_ordinary(names, self.ordinary_costs.sum(axis=0).tolist()),
            **({"note": self.note} if self.note else {}),
        }


def _name_ordinary(names: Sequence[str], paid: Sequence[float]) -> dict[str, dict[str, float]]:
    named = {name: cost for name, cost in zip(names, paid, strict=True) if cost}
    return {"ordinary": named} if named else {}


def _join_alike(charges: Sequence[Charge]) -> tuple[Charge, ...]:
    """One charge for those of the same words about no voice; the dearest first."""
    joined: dict[tuple[str, tuple[int, ...], str], Charge] = {}
    for charge in charges:
        key = (charge.words, charge.voices, charge.term if charge.voices else "")
        before = joined.get(key)
        if before is not None:
            term = charge.term if charge.term == before.term else ""
            charge = replace(charge, term=term, cost=before.cost + charge.cost)
        joined[key] = charge
    return tuple(sorted(joined.values(), key=lambda charge: -charge.cost))
