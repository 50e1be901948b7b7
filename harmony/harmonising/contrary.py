"""Contrary motion: a bass that goes down where the tune goes up, and up where it goes down."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.chain import Chain, find_best

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

_PRICES = (1.2, 2.4, 4.8)  # what a move is worth that goes against the tune, tried in turn


def tune_moves(chain: Chain) -> list[int]:
    """Where the tune goes from the beginning of one span to that of the next: 1, 0 or -1."""
    heights = [
        inside[0].note.pitch.midi if inside and inside[0].note.pitch is not None else None
        for inside in chain.heard
    ]
    return [
        0 if a is None or b is None else (b > a) - (b < a) for a, b in pairwise(heights)
    ]  # fmt: skip


def count_contrary(basses: Sequence[int], moves: Sequence[int]) -> int:
    """At how many of the tune's moves the bass goes the other way, by its nearest step."""
    return sum(
        move != 0 and step_sign((b - a) % 12) == -move
        for (a, b), move in zip(pairwise(basses), moves, strict=True)
    )


def step_sign(gap: int) -> int:
    """1 for a bass that goes up by less than a tritone, -1 for down; 0 for neither."""
    return 0 if gap in (0, 6) else 1 if gap < 6 else -1


def find_contrary(
    chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray], share: float
) -> tuple[IntArray, int, int] | None:
    """Find a bass that goes against the tune at so large a share of the tune's moves.

    Of all ways the cheapest where each such move is worth a price; the price goes up
    until there are enough of them.

    Returns
    -------
    basses, against, moves
        One bass a span above the tonic, its moves against the tune, and all moves of
        the tune. None where no price gives enough.
    """
    moves = tune_moves(chain)
    asked = sum(move != 0 for move in moves)
    if not asked:
        return None
    basses = chain.vocabulary.basses
    gap = (basses[None, :] - basses[:, None]) % 12
    signs = np.array([step_sign(one) for one in range(12)])[gap]
    for price in _PRICES:
        dear = {move: price * (signs != -move) for move in (1, -1)}
        made: dict[tuple[int, int], FloatArray] = {}
        priced = []
        for table, move in zip(steps, moves, strict=True):
            mark = (id(table), move)
            if mark not in made:
                made[mark] = table + dear[move] if move else table
            priced.append(made[mark])
        path, value = find_best(nodes, priced)
        if not np.isfinite(value):
            return None
        line = basses[path]
        against = count_contrary(line.tolist(), moves)
        if against >= share * asked:
            return line, against, asked
    return None
