"""What every rule costs: how much dearer the best becomes because the rule holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from harmony.errors import HarmonyError, NoSolutionError
from harmony.search import Report, StoppedError, eased_values, eased_within
from harmony.voicings.costs import Cost
from harmony.voicings.layers import TooManyVoicingsError
from harmony.voicings.presets import merge_weights
from harmony.voicings.problem import DEAREST_SHARE, STOPPED, PinLike, Problem
from harmony.voicings.realisation import Realisation
from harmony.voicings.rules import NoConsecutivePerfects, RuleSet

WIDER_CROSSING = 4
LEAST_SAVING = 1e-9


@dataclass(frozen=True, slots=True)
class RulePrice:
    """A rule and what giving it up saves (throughout, or at one chord).

    `saving` is in the cost's own units; `words` tell it: "allowing consecutive
    perfects at bar 3 beat 1 saves 4".  What is not worked out to the end saves `saving`
    at the least and `at_most`; else the two are equal.
    """

    rule: str
    saving: float
    slot: int | None
    words: str
    at_most: float

    @classmethod
    def of(
        cls, rule: str, doing: str, saving: float, at_most: float, slot: int | None = None
    ) -> RulePrice:
        """The price of a rule; `doing` says what giving it up is."""
        told = f"{doing} saves {saving:g}"
        if at_most > saving + LEAST_SAVING:
            told += f" or more, and at most {at_most:g}"
        return cls(rule, saving, slot, told, max(at_most, saving))


def _allowances(rules: RuleSet) -> dict[str, RuleSet]:
    """The rules with one of them given up, by what is then allowed; soon priced ones first."""
    no_perfects = tuple(r for r in rules.steps if not isinstance(r, NoConsecutivePerfects))
    return {
        "consecutive perfects": replace(rules, steps=no_perfects),
        "notes to be left out": replace(rules, is_complete=False),
        "leading tones and sevenths to be doubled": replace(rules, tendency_once=False),
        "wider gaps between neighbours": replace(rules, gaps=False),
        "another bass note": replace(rules, keeps_bass=False),
        "voices to cross": replace(rules, crossing=rules.crossing + WIDER_CROSSING),
    }


def price_rules(
    problem: Problem,
    weights: Mapping[str, Any] | None = None,
    pins: Iterable[PinLike] = (),
    *,
    report: Report | None = None,
    each: Callable[[RulePrice], object] | None = None,
) -> tuple[RulePrice, ...]:
    """What each rule that holds costs, the dearest first.

    Each is the difference between two proven optima, with the rule and without it, so
    none is below 0.  Rules that cost nothing are listed with 0.  For a large problem
    `report` hears of every search; one that it stops, or that has too many voicings
    without the rule, is told with what it saves at the most.  `each` is given every
    price as soon as it is known.  Raises NoSolutionError when there is no solution even
    so.
    """
    pins = tuple(pins)
    best = problem.best(weights, pins, report=report)
    prices: list[RulePrice] = []
    for name, doing, rules in _list_looser(problem.rules):
        saving = _save(best, problem.with_rules(rules), weights, pins, report)
        prices.append(RulePrice.of(name, doing, *saving))
        if each is not None:
            each(prices[-1])
    return tuple(sorted(prices, key=lambda price: -price.saving))


def _list_looser(rules: RuleSet) -> list[tuple[str, str, RuleSet]]:
    """Every rule that holds: its name, what giving it up is, and the rules without it."""
    looser = [
        (name, f"allowing {name}", without)
        for name, without in _allowances(rules).items()
        if without != rules
    ]
    for rule in rules.steps:
        if not isinstance(rule, NoConsecutivePerfects):
            rest = tuple(other for other in rules.steps if other is not rule)
            given_up = f"giving up the rule {rule.name}"
            looser.append((rule.name, given_up, replace(rules, steps=rest)))
    return looser


def _save(
    best: Realisation,
    looser: Problem,
    weights: Mapping[str, Any] | None,
    pins: tuple[PinLike, ...],
    report: Report | None,
) -> tuple[float, float]:
    """What looser rules save at the least and at the most."""
    try:
        found = looser.best(weights, pins, report=report)
    except (TooManyVoicingsError, StoppedError):
        return 0.0, best.cost
    least = max(best.outcome.lower_bound - found.cost, 0.0)
    return least, max(best.cost - found.outcome.lower_bound, least)


def price_here(
    problem: Problem,
    weights: Mapping[str, Any] | None = None,
    pins: Iterable[PinLike] = (),
    *,
    report: Report | None = None,
) -> tuple[RulePrice, ...]:
    """What not charging one term at one chord, and on the way to it, saves; dearest first.

    Exact for each term and chord by itself; savings of nothing are left out.  A large
    problem (see `Problem.is_large`) with rules or measures of one's own is told with
    what a term saves at the most: what not charging it anywhere would.  `report` hears of
    the progress of a large one; HarmonyError is raised where it stops that.
    """
    pins = tuple(pins)
    if problem.is_large:
        return _price_large_here(problem, weights, pins, report)
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
                prices.append(_price_at(problem, cost, slot, saving, saving))
    return tuple(sorted(prices, key=lambda price: -price.saving))


def _price_at(problem: Problem, cost: Cost, slot: int, saving: float, at_most: float) -> RulePrice:
    place = problem.progression.slots[slot].place
    return RulePrice.of(
        cost.name, f"allowing {cost.allowed or cost.sentence} at {place}", saving, at_most, slot
    )


def _price_large_here(
    problem: Problem,
    weights: Mapping[str, Any] | None,
    pins: tuple[PinLike, ...],
    report: Report | None,
) -> tuple[RulePrice, ...]:
    rates, masks = problem.ask_of_search(weights, pins)
    try:
        values, is_exact = eased_within(problem.layers, rates, rates, masks, DEAREST_SHARE, report)
    except StoppedError as fault:
        raise HarmonyError(STOPPED) from fault
    best = problem.best(weights, pins, report=report).cost
    merged = merge_weights(problem.preset.weights, weights)
    prices = []
    for cost, row in zip(problem.costs, values, strict=True):
        if not merged[cost.name]:
            continue
        ceiling = 0.0
        if not is_exact:
            without = problem.best({**(weights or {}), cost.name: 0}, pins, report=report)
            ceiling = best - without.outcome.lower_bound
        for slot, value in enumerate(row.tolist()):
            saving = max(best - value, 0.0)
            if max(saving, ceiling) > LEAST_SAVING and problem.progression.slots[slot].chord:
                prices.append(_price_at(problem, cost, slot, saving, max(saving, ceiling)))
    return tuple(sorted(prices, key=lambda price: (-price.saving, -price.at_most)))


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
