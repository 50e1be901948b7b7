"""Presets: weights, rules and measures that belong together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isfinite
from typing import Any

from harmony.errors import HarmonyError
from harmony.instruments.naming import suggest
from harmony.tables import read_toml
from harmony.voicings.costs import TERM_NAMES, Cost, other_measure, standard_costs
from harmony.voicings.measures import Measures, SeparateMeasures
from harmony.voicings.rules import RuleSet

LARGEST_WEIGHT = 1_000_000.0
TABLE = "voicing/presets.toml"
FOUR = 4
DECIMALS = 4
"""Weights finer than this are rounded, so that costs add up exactly."""


@dataclass(frozen=True, slots=True)
class Preset:
    """A named way of writing: one weight for each cost, and the rules that hold.

    `hand_span` is the widest reach in semitones of all voices above the lowest, 0
    for no limit.
    """

    name: str
    sentence: str
    source: str
    measures: Measures
    weights: Mapping[str, float]
    rules: RuleSet = field(default_factory=RuleSet)
    hand_span: int = 0

    @property
    def costs(self) -> tuple[Cost, ...]:
        """The terms, in their usual order."""
        return self.measures.costs


def preset_names() -> tuple[str, ...]:
    """The names of all presets."""
    return tuple(read_toml(TABLE))


@cache
def load_preset(name: str, voices: int = 0) -> Preset:
    """Give a preset by name, as it is for a number of voices.

    `chorale` in four parts has learnt measures; everything else is the same for any
    number (0: not said).

    Raises HarmonyError, naming the presets there are, for any other name.
    """
    table = read_toml(TABLE)
    if name not in table:
        known = ", ".join(table)
        raise HarmonyError(
            f"{name!r} is not a preset{suggest(name, list(table))}; the presets are {known}."
        )
    entry: dict[str, Any] = table[name]
    rules = dict(entry.get("rules", {}))
    hand_span = int(rules.pop("hand_span", 0))
    behind = entry.get("behind", {})
    costs = tuple(
        other_measure(behind[cost.name], cost.name) if cost.name in behind else cost
        for cost in standard_costs()
    )
    measures: Measures = SeparateMeasures(costs)
    is_learnt = voices == FOUR and "four_parts" in entry
    entry |= entry["four_parts"] if is_learnt else {}
    weights = {term: float(entry["weights"][term]) for term in TERM_NAMES}
    if is_learnt:
        # Only this preset reads the learnt tables; the others should not wait for them.
        from harmony.voicings.chorale_measures import build_chorale_measures

        measures = build_chorale_measures(costs)
    return Preset(
        name, entry["sentence"], entry["source"], measures, weights, RuleSet(**rules), hand_span
    )


def merge_weights(base: Mapping[str, float], changes: Mapping[str, Any] | None) -> dict[str, float]:
    """Give `base` with some weights changed, to the nearest ten-thousandth.

    Raises HarmonyError for an unknown term, and for a weight that is not a number
    from 0 to a million.
    """
    merged = dict(base)
    for term, value in (changes or {}).items():
        if term not in merged:
            raise HarmonyError(
                f"{term!r} is not a cost{suggest(term, list(merged))}; the costs are"
                f" {', '.join(merged)}.",
                where=term,
            )
        try:
            weight = float(value)
        except (TypeError, ValueError, OverflowError):
            weight = float("nan")
        if not isfinite(weight) or not 0 <= weight <= LARGEST_WEIGHT:
            raise HarmonyError(
                f"The weight of {term} is {value}; it must be a number from 0 to 1000000.",
                where=term,
            )
        merged[term] = round(weight, DECIMALS)
    return merged
