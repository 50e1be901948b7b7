"""What a search returns, and what it raises when there is no way through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from harmony.errors import HarmonyError

Status = Literal["optimal", "stopped"]
TIE_RULE = (
    "of equally cheap paths the one with the lower choice number"
    " at the first layer where they differ"
)


@dataclass(frozen=True, slots=True)
class Counts:
    """How much work a search did: choices and steps weighed, nodes expanded."""

    choices: int
    steps: int
    expanded: int = 0


@dataclass(frozen=True, slots=True)
class PathCost:
    """One path, a choice number for each layer, and its cost."""

    choices: tuple[int, ...]
    value: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """The answer of a search.

    `paths` are cheapest first.  `value` is the cost of the first, `lower_bound` a
    cost no path can go below; when `status` is "optimal" the two are equal.  A
    search that was stopped returns the best it had, with the bound it had reached.
    `is_slow` is True where a large search had to do without the compiled engine.
    """

    paths: tuple[PathCost, ...]
    value: float
    lower_bound: float
    status: Status
    counts: Counts
    tie_rule: str = TIE_RULE
    is_slow: bool = False

    def __post_init__(self) -> None:
        if not self.paths:
            raise ValueError("an outcome holds at least one path")
        if self.status == "optimal" and self.lower_bound != self.value:
            raise ValueError("an optimal outcome has its lower bound at its value")
        if self.lower_bound > self.value:
            raise ValueError("a lower bound cannot lie above the value")


class NoPathError(ValueError):
    """No path leads through the layers.

    `layer` is the first layer that cannot be reached.  `is_step` is False when the
    layer itself has no choice left, True when it has, but no allowed step leads to
    one of them from the choices that can be reached in the layer before; those are
    `reached`.
    """

    def __init__(self, layer: int, *, is_step: bool, reached: tuple[int, ...] = ()) -> None:
        self.layer = layer
        self.is_step = is_step
        self.reached = reached
        place = f"from layer {layer - 1} to layer {layer}" if is_step else f"in layer {layer}"
        super().__init__(f"no choice left {place}")


class StoppedError(HarmonyError):
    """A search was told that enough is enough before there was anything to give."""

    def __init__(self) -> None:
        super().__init__("The search was stopped before it had found anything; ask again for it.")
