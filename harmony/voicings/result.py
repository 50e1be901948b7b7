"""The answer of `voice`: one or more realisations of a progression."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.showing import Shown
from harmony.voicings.problem import Problem
from harmony.voicings.realisation import Realisation

if TYPE_CHECKING:
    from harmony.scoring.score import Score


@dataclass(frozen=True, slots=True, eq=False)
class Voiced(Shown):
    """A progression voiced: `alternatives`, the cheapest first, and the problem behind them."""

    problem: Problem
    alternatives: tuple[Realisation, ...]

    @property
    def progression(self) -> Progression:
        """The chords."""
        return self.problem.progression

    @property
    def ensemble(self) -> Ensemble:
        """The players."""
        return self.problem.ensemble

    def alternative(self, number: int = 1) -> Realisation:
        """Give an alternative, counted from 1.

        Raises HarmonyError for a number there is not.
        """
        if not 1 <= number <= len(self.alternatives):
            raise HarmonyError(
                f"There is no alternative {number}; there are {len(self.alternatives)},"
                " counted from 1."
            )
        return self.alternatives[number - 1]

    def to_json(self) -> dict[str, Any]:
        """What `harmony voice --json` prints."""
        return {
            "ensemble": self.ensemble.name,
            "voices": [voice.name for voice in self.ensemble.voices],
            "alternatives": [one.to_json() for one in self.alternatives],
        }

    def to_score(self, alternative: int = 1) -> Score:
        """The score of an alternative."""
        from harmony.voicings.score import realisation_to_score

        return realisation_to_score(self.alternative(alternative))

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:
        """One row a chord: its place, figure, pitches by voice, cost and costs by term."""
        one = self.alternative(alternative)
        rows = []
        for number, (slot, pitches) in enumerate(
            zip(self.progression.slots, one.pitches, strict=True)
        ):
            row: dict[str, Any] = {
                "bar": slot.bar,
                "beat": float(slot.beat),
                "offset": float(slot.onset),
                "duration": float(slot.duration),
                "figure": slot.figure,
            }
            for place, voice in enumerate(self.ensemble.voices):
                row[voice.name] = str(pitches[place]) if pitches else ""
            costs = one.slot_costs[number].tolist()
            row["cost"] = sum(costs)
            row |= {cost.name: value for cost, value in zip(one.costs, costs, strict=True)}
            rows.append(row)
        return rows
