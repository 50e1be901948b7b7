"""A voicing problem, prepared once and solved again for every change of mind."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmony.accepting import accepting
from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.spelling import Pitch
from harmony.search import (
    Counts,
    Layers,
    NoPathError,
    Outcome,
    PackedLayers,
    PathCost,
    Progress,
    Report,
    StoppedError,
    Weighed,
    best_path,
    best_path_large,
    choice_prices,
    pack,
    price_within,
    ranked_paths,
    search_within,
    unlike_paths,
)
from harmony.voicings.costs import Cost
from harmony.voicings.diagnosis import explain_no_path, explain_no_pin, explain_no_voicing
from harmony.voicings.layers import Layout, build_layers, build_layout
from harmony.voicings.melody import GivenLine
from harmony.voicings.movement import MovingVoice, write_lines
from harmony.voicings.pins import Pin, RegisterChange, read_pins
from harmony.voicings.presets import Preset, merge_weights
from harmony.voicings.realisation import Realisation
from harmony.voicings.rules import RuleSet
from harmony.voicings.speller import Speller

PinLike = str | Pin
LARGEST_TABLE = 2**24
"""A problem with more different steps than this is searched within bounds."""
DEAREST_SHARE = 0.1
MOST_IN_ORDER, MOST_UNLIKE = 10_000, 100
STOPPED = "The prices were not worked out, as the search was stopped; ask again for them."


@dataclass(frozen=True, eq=False)
class Problem:
    """A progression to be laid out for an ensemble.

    Made by `prepare`.  The tables of all voicings and steps are worked out on first
    use and kept, so that other weights or pins are answered at once.  Nothing about
    a problem changes; `with_rules` gives another one.
    """

    progression: Progression
    ensemble: Ensemble
    preset: Preset
    rules: RuleSet
    given: tuple[GivenLine, ...] = ()
    registers: tuple[RegisterChange, ...] = ()
    pins: tuple[Pin, ...] = ()
    moving: tuple[MovingVoice, ...] = ()

    @cached_property
    def layout(self) -> Layout:
        """The voicings of every chord.

        Raises NoSolutionError where a chord has none.
        """
        layout = build_layout(
            self.progression, self.ensemble, self.preset, self.rules, self.given, self.registers
        )
        for number, voicings in enumerate(layout.voicings):
            if voicings is not None and not len(voicings):
                raise explain_no_voicing(self, layout, number)
        return layout

    @cached_property
    def speller(self) -> Speller:
        """Gives the notes of this problem their letters."""
        return Speller(len(self.ensemble), self.given)

    @property
    def costs(self) -> tuple[Cost, ...]:
        """The costs of the preset."""
        return self.preset.costs

    @cached_property
    def layers(self) -> Layers:
        """The problem as the search sees it: numbers only."""
        names = tuple(cost.name for cost in self.costs)
        return build_layers(names, self.layout.voicings, self.preset.measures, self.rules.steps)

    @cached_property
    def packed(self) -> PackedLayers:
        """All terms of all steps, packed for weighing."""
        return pack(self.layers)

    @cached_property
    def is_large(self) -> bool:
        """True where a table of all steps would be too large to make.

        Such a problem is searched within bounds: slower, with progress to report.
        """
        distinct = {id(steps): steps.shape for steps in self.layers.pair}
        steps = sum(rows * columns for rows, columns in distinct.values())
        return steps > LARGEST_TABLE and self.preset.measures.has_floor

    def weigh(self, weights: Mapping[str, Any] | None = None) -> tuple[Weighed, dict[str, float]]:
        """The costs of all voicings and steps under the preset's weights with changes.

        Raises HarmonyError for an unknown term or a weight that cannot be used.
        """
        merged = merge_weights(self.preset.weights, weights)
        rates = self._rates(merged)
        pair_rates = rates if len(self.progression) > 1 else rates[:0]
        try:
            return self.packed.weigh(rates, pair_rates), merged
        except OverflowError as fault:
            raise _too_heavy(merged) from fault

    def weigh_pinned(
        self, weights: Mapping[str, Any] | None, pins: Iterable[PinLike]
    ) -> tuple[Weighed, dict[str, float]]:
        """The same with what the pins bar taken away."""
        weighed, merged = self.weigh(weights)
        return self._restrict(weighed, self._all_pins(pins)), merged

    def _restrict(self, weighed: Weighed, pins: Sequence[Pin]) -> Weighed:
        return weighed.restrict(self._masks(pins)) if pins else weighed

    def _rates(self, weights: Mapping[str, float]) -> NDArray[np.float64]:
        return np.array([weights[cost.name] / cost.grain for cost in self.costs])

    @accepting
    def best(
        self,
        weights: Mapping[str, Any] | None = None,
        pins: Iterable[PinLike] = (),
        *,
        report: Report | None = None,
        first: Callable[[Realisation], object] | None = None,
    ) -> Realisation:
        """The cheapest realisation, proven.

        Parameters
        ----------
        weights
            Weights that differ from the preset's, by term.
        pins
            Pins besides those the problem was prepared with.
        report
            Told of the progress of a large problem (see `is_large`); where it answers
            False, the best realisation found so far comes back, with status
            "stopped" and the bound reached.
        first
            Given the good realisation that the search for a large problem begins with,
            before its proof.

        Raises
        ------
        NoSolutionError
            Naming rule, chord and voice when no realisation exists.
        """
        if self.is_large and first is not None:
            report = self._tell_first(merge_weights(self.preset.weights, weights), first, report)
        return self._solve(best_path, weights, pins, report=report)[0]

    def _tell_first(
        self,
        weights: Mapping[str, float],
        first: Callable[[Realisation], object],
        report: Report | None,
    ) -> Report:
        """A report that hands the path of the first progress on."""
        is_told = False

        def tell(progress: Progress) -> bool:
            nonlocal is_told
            if not is_told:
                is_told = True
                path = PathCost(progress.choices, progress.value)
                counts = Counts(sum(self.layers.sizes), 0)
                outcome = Outcome((path,), path.value, progress.lower_bound, "stopped", counts)
                first(self._realise(path, outcome, weights))
            return report is None or report(progress)

        return tell

    @accepting
    def k_best(
        self,
        count: int,
        weights: Mapping[str, Any] | None = None,
        pins: Iterable[PinLike] = (),
        *,
        report: Report | None = None,
    ) -> tuple[Realisation, ...]:
        """The `count` cheapest realisations in order, up to 10,000; fewer where there are fewer."""
        _check_count(count, MOST_IN_ORDER)
        return self._solve(
            lambda weighed: ranked_paths(weighed, count), weights, pins, count=count, report=report
        )

    @accepting
    def unlike(
        self,
        count: int,
        distance: int,
        weights: Mapping[str, Any] | None = None,
        pins: Iterable[PinLike] = (),
        *,
        report: Report | None = None,
    ) -> tuple[Realisation, ...]:
        """Realisations each unlike every earlier one in at least `distance` chords.

        The first is the best; every other is the cheapest that is unlike all before
        it; `count` is up to 100.  Chords are alike when all their pitches are.
        """
        _check_count(count, MOST_UNLIKE)
        sounding = sum(voicings is not None for voicings in self.layout.voicings)
        if not 0 <= distance <= sounding:
            raise HarmonyError(
                f"Alternatives cannot differ in {distance} chords: there are {sounding};"
                f" ask for 0 to {sounding}."
            )
        return self._solve(
            lambda weighed: unlike_paths(weighed, count, distance), weights, pins,
            count=count, report=report,
        )  # fmt: skip

    @accepting
    def prices(
        self,
        weights: Mapping[str, Any] | None = None,
        pins: Iterable[PinLike] = (),
        *,
        report: Report | None = None,
    ) -> tuple[tuple[dict[Pitch, float], ...], ...]:
        """What the best realisation costs with each possible note pinned.

        `prices[slot][voice]` (top voice first) maps every pitch the voice can have at
        that chord to the exact cost of the best realisation that has it.  A large
        problem whose costs or rules look at all voices together leaves out notes that
        make it dearer by more than a tenth.  `report` hears of the progress of a large
        one; HarmonyError is raised where it answers that enough is enough.
        """
        pins = tuple(pins)
        if self.is_large:
            rates, masks = self.ask_of_search(weights, pins)
            try:
                by_choice = price_within(self.layers, rates, rates, masks, DEAREST_SHARE, report)
            except StoppedError as fault:
                raise HarmonyError(STOPPED) from fault
        else:
            by_choice = choice_prices(self.weigh_pinned(weights, pins)[0])
        return tuple(
            () if own is None else self.speller.spell_prices(slot, own, costs)
            for slot, (own, costs) in enumerate(zip(self.layout.voicings, by_choice, strict=True))
        )

    def ask_of_search(
        self, weights: Mapping[str, Any] | None, pins: Iterable[PinLike]
    ) -> tuple[NDArray[np.float64], list[NDArray[np.bool_] | None]]:
        """The rates of all costs, and which voicings of each chord the pins leave."""
        masks = self._masks(self._all_pins(pins))
        return self._rates(merge_weights(self.preset.weights, weights)), masks

    def with_rules(self, rules: RuleSet) -> Problem:
        """The same problem under other rules."""
        return replace(self, rules=rules)

    def _all_pins(self, pins: Iterable[PinLike]) -> tuple[Pin, ...]:
        return read_pins((*self.pins, *pins), self.progression, self.ensemble)

    def _masks(self, pins: Sequence[Pin]) -> list[NDArray[np.bool_] | None]:
        masks: list[NDArray[np.bool_] | None] = [None] * len(self.progression)
        for pin in pins:
            own = self.layout.voicings[pin.slot]
            assert own is not None
            hits = own.pitches[:, len(self.ensemble) - 1 - pin.voice] == pin.pitch.midi
            earlier = masks[pin.slot]
            both = hits if earlier is None else hits & earlier
            if not both.any():
                raise explain_no_pin(self, pin, pins)
            masks[pin.slot] = both
        return masks

    def _solve(
        self,
        search: Callable[[Weighed], Outcome],
        weights: Mapping[str, Any] | None,
        pins: Iterable[PinLike],
        *,
        count: int = 1,
        report: Report | None = None,
    ) -> tuple[Realisation, ...]:
        everything = self._all_pins(pins)
        try:
            if self.is_large:
                merged = merge_weights(self.preset.weights, weights)
                masks = self._masks(everything)
                outcome = self._search_large(search, merged, masks, count, report)
            else:
                weighed, merged = self.weigh(weights)
                outcome = search(self._restrict(weighed, everything))
        except NoPathError as fault:
            raise explain_no_path(self, fault, everything) from fault
        return tuple(self._realise(path, outcome, merged) for path in outcome.paths)

    def _search_large(
        self,
        search: Callable[[Weighed], Outcome],
        weights: Mapping[str, float],
        masks: Sequence[NDArray[np.bool_] | None],
        count: int,
        report: Report | None,
    ) -> Outcome:
        rates = self._rates(weights)
        try:
            if count == 1:
                return best_path_large(self.layers, rates, rates, masks, report)
            return search_within(
                self.layers, rates, rates, masks, lambda weighed, _: search(weighed),
                count=count, report=report,
            )  # fmt: skip
        except OverflowError as fault:
            raise _too_heavy(weights) from fault

    def _realise(
        self, path: PathCost, outcome: Outcome, weights: Mapping[str, float]
    ) -> Realisation:
        chosen = tuple(
            None if own is None else own.chosen(np.array([choice]))
            for own, choice in zip(self.layout.voicings, path.choices, strict=True)
        )
        amounts = np.array(
            [
                terms[:, choice]
                for terms, choice in zip(self.layers.single, path.choices, strict=True)
            ],
            dtype=np.int64,
        )
        if len(path.choices) > 1:
            amounts[1:] += self._step_amounts(path.choices)
        pitches = tuple(
            () if own is None else self.speller.spell_chord(slot, own, choice)
            for slot, (own, choice) in enumerate(
                zip(self.layout.voicings, path.choices, strict=True)
            )
        )
        return Realisation(
            self.progression,
            self.ensemble,
            pitches,
            outcome,
            path.value,
            self.preset.measures,
            weights,
            amounts,
            chosen,
            self.given + write_lines(self.progression, pitches, chosen, self.moving),
        )

    def _step_amounts(self, choices: tuple[int, ...]) -> NDArray[np.integer]:
        """What every cost measures at every step of a path, shape (steps, costs)."""
        if not self.is_large:
            return self.packed.path_terms(choices)
        blocks = [
            steps.block(np.array([here]), np.array([there]))[:, 0, 0]
            for steps, (here, there) in zip(self.layers.pair, pairwise(choices), strict=True)
        ]
        return np.array(blocks)


def _too_heavy(weights: Mapping[str, float]) -> HarmonyError:
    heaviest = max(weights, key=lambda term: weights[term])
    return HarmonyError(
        f"The weight of {heaviest} is too large beside the others to add up exactly;"
        " weights up to 1000 are always possible.",
        where=heaviest,
    )


def _check_count(count: int, most: int) -> None:
    if not 1 <= count <= most:
        raise HarmonyError(f"{count} alternatives cannot be found; ask for 1 to {most}.")
