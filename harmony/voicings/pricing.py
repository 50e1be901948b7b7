"""What every rule costs: how much dearer the best becomes because the rule holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from harmony.errors import HarmonyError, NoSolutionError
from harmony.search import eased_values
from harmony.voicings.problem import PinLike, Problem
from harmony.voicings.rules import NoConsecutivePerfects, RuleSet

WIDER_CROSSING = 4
LEAST_SAVING = 1e-9


@dataclass(frozen=True, slots=True)
class RulePrice:
    """A rule and what giving it up saves (throughout, or at one chord).

    `saving` is in the cost's own units; `words` tell it: "allowing consecutive
    perfects at bar 3 beat 1 saves 4".
    """

    rule: str
    saving: float
    slot: int | None
    words: str


def _allowances(rules: RuleSet) -> dict[str, RuleSet]:
    """The rules with one of them given up, by what is then allowed."""
    no_perfects = tuple(r for r in rules.steps if not isinstance(r, NoConsecutivePerfects))
    return {
        "voices to cross": replace(rules, crossing=rules.crossing + WIDER_CROSSING),
        "wider gaps between neighbours": replace(rules, gaps=False),
        "notes to be left out": replace(rules, is_complete=False),
        "leading tones and sevenths to be doubled": replace(rules, tendency_once=False),
        "another bass note": replace(rules, keeps_bass=False),
        "consecutive perfects": replace(rules, steps=no_perfects),
    }


def price_rules(
    problem: Problem,
    weights: Mapping[str, Any] | None = None,
    pins: Iterable[PinLike] = (),
) -> tuple[RulePrice, ...]:
    """What each rule that holds costs, the dearest first.

    Each is the difference between two proven optima, with the rule and without it, so
    none is below 0.  Rules that cost nothing are listed with 0.  Raises
    NoSolutionError when there is no solution even so.
    """
    pins = tuple(pins)
    best = problem.best(weights, pins).cost
    prices = []
    for name, rules in _allowances(problem.rules).items():
        if rules == problem.rules:
            continue
        saving = best - problem.with_rules(rules).best(weights, pins).cost
        prices.append(RulePrice(name, saving, None, f"allowing {name} saves {saving:g}"))
    for rule in problem.rules.steps:
        if isinstance(rule, NoConsecutivePerfects):
            continue
        rest = tuple(other for other in problem.rules.steps if other is not rule)
        looser = problem.with_rules(replace(problem.rules, steps=rest))
        saving = best - looser.best(weights, pins).cost
        words = f"giving up the rule {rule.name} saves {saving:g}"
        prices.append(RulePrice(rule.name, saving, None, words))
    return tuple(sorted(prices, key=lambda price: -price.saving))


def price_here(
    problem: Problem,
    weights: Mapping[str, Any] | None = None,
    pins: Iterable[PinLike] = (),
) -> tuple[RulePrice, ...]:
    """What not charging one term at one chord, and on the way to it, saves; dearest first.

    Exact for each term and chord by itself; savings of nothing are left out.  Raises
    HarmonyError for a large problem (see `Problem.is_large`), whose steps are never
    all at hand.
    """
    if problem.is_large:
        raise HarmonyError(
            f"The prices of single rules are not worked out for {problem.ensemble.name}:"
            " with so many voices they would take minutes; ask with fewer voices."
        )
    weighed, merged = problem.weigh_pinned(weights, pins)
    best = problem.best(weights, pins).cost
    prices = []
    for cost in problem.costs:
        term = cost.name
        if not merged[term]:
            continue
        eased, _ = problem.weigh_pinned({**merged, term: 0}, pins)
        for slot, value in enumerate(eased_values(weighed, eased).tolist()):
            saving = best - value
            if saving > LEAST_SAVING:
                place = problem.progression.slots[slot].place
                told = f"allowing {cost.allowed or cost.sentence} at {place} saves {saving:.3g}"
                prices.append(RulePrice(term, saving, slot, told))
    return tuple(sorted(prices, key=lambda price: -price.saving))


def price_pin(
    problem: Problem,
    pin: PinLike,
    weights: Mapping[str, Any] | None = None,
    pins: Iterable[PinLike] = (),
) -> float | None:
    """What one more pin adds to the cost; None where it leaves no solution."""
    pins = tuple(pins)
    free = problem.best(weights, pins).cost
    try:
        return problem.best(weights, (*pins, pin)).cost - free
    except NoSolutionError:
        return None
