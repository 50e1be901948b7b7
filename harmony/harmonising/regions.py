"""Key regions searched together with the chords: where a passage leans to a near key.

Every chord stands in a region, the key itself or one of its near keys. Notes foreign
to the region cost, so does every region away from home and every change of region;
the chain finds chords and regions at once, so that a passage is heard in D because
its chords are chosen there, not the other way round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.spelling import near_keys
from harmony.harmonising.vocabulary import Vocabulary
from harmony.pitch.key import Key

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

FOREIGN, AWAY, CHANGE = 0.9, 0.35, 2.2
FAR = 2.5  # each note that the nearest of the near keys lacks still


@dataclass(frozen=True, slots=True)
class Regions:
    """Near keys, home first, and what each chord costs in each.

    ``costs`` has shape (regions, chords); ``change`` is what a new region costs.
    """

    keys: tuple[Key, ...]
    costs: FloatArray
    change: float = CHANGE

    def weigh(self, weight: float) -> Regions:
        """Give the same regions with every cost multiplied."""
        return Regions(self.keys, self.costs * weight, self.change * weight)

    def cost_at(self, path: Sequence[int], where: Sequence[int], place: int) -> float:
        """What one place of a way costs by its region."""
        moved = place > 0 and where[place] != where[place - 1]
        return float(self.costs[where[place], path[place]]) + self.change * moved


def lay_regions(vocabulary: Vocabulary) -> Regions:
    """Weigh every chord of a vocabulary in the key and its near keys."""
    key = vocabulary.key
    keys = near_keys(key)
    rows, foreign = [], []
    for region in keys:
        scale = {name.pitch_class for name in region.scale}
        if region.mode == "minor":
            scale.add((region.tonic.pitch_class + 11) % 12)
        outside = [pc for pc in range(12) if (pc + key.tonic.pitch_class) % 12 not in scale]
        foreign.append(vocabulary.members[:, outside].sum(axis=1))
        rows.append(FOREIGN * foreign[-1] + AWAY * (region != key))
    rows = [row + FAR * np.min(foreign, axis=0) for row in rows]
    return Regions(tuple(keys), np.array(rows))


def come_in(ahead: FloatArray, change: float) -> tuple[FloatArray, IntArray]:
    """The least cost to go on in each region from each chord, and from which region.

    ``ahead`` has shape (regions, chords).
    """
    source = ahead.argmin(axis=0)
    floor = ahead[source, np.arange(ahead.shape[1])] + change
    stays = ahead <= floor
    return np.where(stays, ahead, floor), np.where(
        stays, np.arange(len(ahead))[:, None], source
    )  # fmt: skip


def find_joint(
    nodes: FloatArray, steps: Sequence[FloatArray], regions: Regions
) -> tuple[list[int], list[int], float]:
    """The cheapest way through chords and regions together: chords, regions, its cost."""
    width = regions.costs.shape[1]
    ahead = regions.costs + nodes[0]
    back: list[tuple[IntArray, IntArray]] = []
    for place, table in enumerate(steps, start=1):
        best, source = come_in(ahead, regions.change)
        ways = best[:, :, None] + table
        came = ways.argmin(axis=1)
        back.append((came, np.take_along_axis(source, came, axis=1)))
        ahead = np.take_along_axis(ways, came[:, None, :], axis=1)[:, 0] + (
            regions.costs + nodes[place]
        )
    region, chord = divmod(int(ahead.argmin()), width)
    value = float(ahead[region, chord])
    path, where = [chord], [region]
    for came, source in reversed(back):
        region, chord = int(source[region, chord]), int(came[region, chord])
        path.append(chord)
        where.append(region)
    return path[::-1], where[::-1], value
