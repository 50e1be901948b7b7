"""Key regions: where a passage leans to a near key, searched with the chords or read off them.

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

from harmony.harmonising.vocabulary import Vocabulary
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

FOREIGN, AWAY, CHANGE = 0.9, 0.35, 2.2
FAR = 2.5  # each note that the nearest of the near keys lacks still
_CADENCE = 0.5  # what a dominant step onto a region's tonic gives back


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
        scale = _notes_of(region)
        outside = [pc for pc in range(12) if (pc + key.tonic.pitch_class) % 12 not in scale]
        foreign.append(vocabulary.members[:, outside].sum(axis=1))
        rows.append(FOREIGN * foreign[-1] + AWAY * (region != key))
    rows = [row + FAR * np.min(foreign, axis=0) for row in rows]
    return Regions(tuple(keys), np.array(rows))


def near_keys(key: Key) -> list[Key]:
    """The key and those of the chords of its scale; the key alone outside major and minor."""
    if key.mode not in ("major", "minor"):
        return [key]
    near = [key]
    minor = key.mode == "minor"
    shifts = (
        ((-3, "major"), (-1, "minor"), (1, "minor"), (-4, "major"), (-2, "major"), (0, "major"))
        if minor
        else ((1, "major"), (-1, "major"), (3, "minor"), (2, "minor"), (4, "minor"), (0, "minor"))
    )
    near += [Key(PitchName.from_fifths(key.tonic.fifths + f), mode) for f, mode in shifts]
    return [one for one in near if abs(one.tonic.fifths) <= 11]


def _notes_of(region: Key) -> set[int]:
    """The pitch classes of a key, the leading tone of a minor one among them."""
    notes = {name.pitch_class for name in region.scale}
    if region.mode == "minor":
        notes.add((region.tonic.pitch_class + 11) % 12)
    return notes


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


def read_regions(roots: Sequence[int], pcs: Sequence[Sequence[int]], key: Key) -> list[Key]:
    """Read the region of every chord of a sequence that is found: an exact chain over near keys.

    Each chord costs its notes foreign to a key, as where both are searched together; a
    dominant step (root down a fifth) onto a key's tonic speaks for it. Roots and pitch
    classes are absolute.
    """
    regions = near_keys(key)
    costs = []
    for region in regions:
        scale = _notes_of(region)
        costs.append([FOREIGN * sum(pc not in scale for pc in chord) for chord in pcs])
    home = [0.0 if region == key else AWAY for region in regions]
    ahead = [cost[0] + h for cost, h in zip(costs, home, strict=True)]
    back: list[list[int]] = []
    for place in range(1, len(pcs)):
        best = min(range(len(regions)), key=lambda k: ahead[k])
        row, new = [], []
        for k, region in enumerate(regions):
            stay, come = ahead[k], ahead[best] + CHANGE
            row.append(k if stay <= come else best)
            cadence = (
                roots[place] == region.tonic.pitch_class
                and (roots[place - 1] - roots[place]) % 12 == 7
            )
            new.append(min(stay, come) + costs[k][place] + home[k] - _CADENCE * cadence)
        back.append(row)
        ahead = new
    choice = min(range(len(regions)), key=lambda k: ahead[k])
    found = [choice]
    for row in reversed(back):
        found.append(row[found[-1]])
    return [regions[k] for k in reversed(found)]
