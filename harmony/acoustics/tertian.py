"""The theoretical root of a sonority read from its spelled names alone.

Common practice: the note on which the others stack in thirds. Where a chord was
typed, its own root is the answer and this is not asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from harmony.pitch.interval import Interval
from harmony.pitch.spelling import PitchName

#: Price of a note by its letters above the root: root, 9th, 3rd, 11th, 5th, 13th, 7th.
_STEP_PRICES = (0.0, 2.0, 0.0, 3.0, 0.0, 4.0, 1.0)
_NO_THIRD = 2.0
_NO_PERFECT_FIFTH = 0.5
_NOT_LOWEST = 1.5


def theoretical_root(names: Sequence[PitchName]) -> PitchName:
    """Give the note on which the others stack most nearly in thirds.

    Thirds and fifths above the root cost nothing, sevenths, ninths, elevenths
    and thirteenths more and more; a missing third, a missing perfect fifth and a
    root that is not the lowest note cost a little. Of equal roots the lowest wins.

    Parameters
    ----------
    names
        Spelled names, the lowest note's first; octaves apart count once.

    >>> str(theoretical_root([PitchName("E"), PitchName("G"), PitchName("C")]))
    'C'
    """
    distinct = list(dict.fromkeys(names))
    prices = [_price(root, distinct) for root in distinct]
    return distinct[prices.index(min(prices))]


def _price(root: PitchName, names: Sequence[PitchName]) -> float:
    above = [Interval.between_names(root, name) for name in names if name != root]
    price = sum(_STEP_PRICES[interval.steps] for interval in above)
    price += 0.0 if any(interval.steps == 2 for interval in above) else _NO_THIRD
    price += 0.0 if Interval(4, 7) in above else _NO_PERFECT_FIFTH
    return price + (0.0 if root == names[0] else _NOT_LOWEST)
