"""What repeats in the tune repeats in the harmony: sequences by transposition, openings alike."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.chain import Chain
from harmony.harmonising.vocabulary import scale_of

_ECHO = 0.9  # what it costs to leave the model's chord in a copy


def echo(chain: Chain, path: Sequence[int]) -> NDArray[np.float64] | None:
    """What copies cost where they leave the harmony a way gives their models.

    Openings that come again take the same chords; the copies of a sequence take
    the model's roots moved as the tune is (by semitones where it is real, along
    the scale where it is diatonic). The last copy is free. None where nothing
    repeats.

    Returns
    -------
    array
        Shape (spans, chords).
    """
    cost = np.zeros((len(chain.spans), len(chain.vocabulary)))
    place_at = {span.onset: place for place, span in enumerate(chain.spans)}
    roots, kinds = chain.vocabulary.roots, chain.vocabulary.kinds

    def pairs(model: Fraction, copy: Fraction, length: Fraction) -> list[tuple[int, int]]:
        return [
            (place, place_at[span.onset - model + copy])
            for place, span in enumerate(chain.spans)
            if model <= span.onset < model + length and span.onset - model + copy in place_at
        ]

    for parallel in chain.melody.parallels:
        for one, other in pairs(parallel.first, parallel.again, parallel.length):
            chosen = path[one]
            cost[other] += _ECHO * ((roots != roots[chosen]) | (kinds != kinds[chosen]))
    scale = scale_of(chain.vocabulary.key)
    for sequence in chain.melody.sequences:
        copies = list(zip(sequence.starts, sequence.steps, sequence.semitones, strict=True))[1:]
        for start, steps, semitones in copies if len(copies) == 1 else copies[:-1]:
            for one, other in pairs(sequence.starts[0], start, sequence.length):
                root = int(roots[path[one]])
                if sequence.is_real or root not in scale:
                    wanted = (root + semitones) % 12
                else:
                    wanted = scale[(scale.index(root) + steps) % 7]
                cost[other] += _ECHO * (roots != wanted)
    return cost if cost.any() else None
