"""Two ways through one chain crossed: the cheapest that leaves one for the other and comes back."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from harmony.harmonising.limits import Limit
from harmony.harmonising.passes import Passes, WeighedWay


def cross(
    passes: Passes, limits: Sequence[Limit], one: WeighedWay, other: WeighedWay
) -> WeighedWay | None:
    """Give the cheapest way within the limits that leaves ``one`` for ``other`` and returns.

    It may keep to ``other`` to the end. None where no such way keeps the limits.
    """
    count = len(one.chords)
    leave, back = np.full(count + 1, np.inf), np.full(count + 1, np.inf)
    for place in range(1, count):
        leave[place] = _cost_of_joint(passes, one, other, place)
        back[place] = _cost_of_joint(passes, other, one, place)
    leave[0] = passes.cost_at(0, other.regions[0], other.chords[0])
    back[count] = 0.0
    own, its = (
        np.concatenate([[0.0], passes.costs_along(way.regions, way.chords)]) for way in (one, other)
    )
    # From ``one`` before span s, ``other`` from s on, ``one`` again from span e on.
    total = (own[:-1] + leave[:-1])[:, None] + (
        its[None, :] - its[1:, None] + back[None, :] + np.append(own[-1] - own[1:], 0.0)[None, :]
    )
    keeps = np.triu(np.ones((count, count + 1), bool), 1)
    counted = (passes.sums_along(way.chords) for way in (one, other))
    for limit, mine, theirs in zip(limits, *counted, strict=True):
        mine, theirs = np.append(0, mine), np.append(0, theirs)
        held = (mine - theirs)[:-1, None] + (theirs - mine)[None, :] + mine[-1]
        keeps &= held >= limit.least
        if limit.most is not None:
            keeps &= held <= limit.most
    total = np.where(keeps, total, np.inf)
    s, e = map(int, np.unravel_index(int(total.argmin()), total.shape))
    if not math.isfinite(total[s, e]):
        return None
    regions = (*one.regions[:s], *other.regions[s:e], *one.regions[e:])
    chords = (*one.chords[:s], *other.chords[s:e], *one.chords[e:])
    return passes.weigh(regions, chords)


def _cost_of_joint(passes: Passes, before: WeighedWay, after: WeighedWay, place: int) -> float:
    """What it costs to come from one way into another at a span, its chord included."""
    region, chord = after.regions[place], after.chords[place]
    step = passes.cost_of_step(place, before.chords[place - 1], chord)
    moved = passes.change * (before.regions[place - 1] != region)
    return step + moved + passes.cost_at(place, region, chord)
