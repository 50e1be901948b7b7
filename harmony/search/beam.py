"""Whole paths back from the ends of a beam."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from harmony.search.layers import Indices

Cost = TypeVar("Cost", int, float)


def trace_paths(
    ends: Indices,
    spent: NDArray[Any],
    trail: Sequence[tuple[Indices, Indices]],
    as_cost: Callable[[Any], Cost],
) -> tuple[tuple[Cost, tuple[int, ...]], ...]:
    """Give the cost and the choices of every path of a beam, cheapest first.

    ``ends`` are the last choices and ``spent`` what each has cost, both shape (b,);
    ``trail`` holds for each step the choices before it and which of them each choice
    after it came from.
    """
    paths = []
    for number in np.argsort(spent, kind="stable").tolist():
        path = [int(ends[number])]
        back = number
        for earlier, came in reversed(trail):
            back = int(came[back])
            path.append(int(earlier[back]))
        paths.append((as_cost(spent[number]), tuple(reversed(path))))
    return tuple(paths)
