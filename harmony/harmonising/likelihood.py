"""How likely each chord and each step is under a tune, from the learnt syntax, as costs.

The score of a harmonisation is the share of beats that are right, so what counts is
how likely a root, a bass, a chord is *at its place*, all ways through taken together,
more than how likely one whole way is.  Such a choice takes the likeliest chords more
often than they are likely; prices by chord take that back (`balance`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.fitting import Sounding
from harmony.harmonising.melody import Melody
from harmony.harmonising.setting import describe
from harmony.harmonising.spans import Span, is_hymn_like
from harmony.harmonising.syntax import QUALITIES, ChordList, chances, load_syntax
from harmony.harmonising.vocabulary import Vocabulary

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: How much of `likelihood` asks for the likely root, bass, root with quality, and whole
#: chord, and how much is taken off again for chords the piece has often: the likeliest
#: path alone is poorer in chords than Bach. Set on the chorales of the fitting set,
#: each harmonised by a table that had not seen its tune.
_ROOT_SHARE, _BASS_SHARE, _KIND_SHARE, _CHORD_SHARE, _RICHNESS = 0.5, 0.25, 0.6, 0.3, 0.2
_FREE_RICHNESS = 0.1  # under a tune with few chords the rare ones are not asked for
_ROUNDS, _RAISE = 5, 0.1  # rounds of `balance`, and how far a price moves in each
_TINY, _LEAST = 1e-6, 1e-3


def weigh_learnt(
    melody: Melody,
    spans: Sequence[Span],
    heard: Sequence[Sequence[Sounding]],
    vocabulary: Vocabulary,
) -> tuple[FloatArray, list[FloatArray], FloatArray]:
    """Weigh the chords of a vocabulary by the learnt chain, in nats.

    Returns
    -------
    likelihood
        What each chord costs in each span, (spans, chords).
    syntax
        What each step costs, one table (chords, chords) for each span after the first.
    by_root
        The chance of each root in each span, (spans, 12).
    """
    syntax = load_syntax(is_minor=vocabulary.key.is_minor)
    setting = describe(melody, spans, heard)
    scores = syntax.place_scores(setting)
    steps = [syntax.step_scores(setting, place) for place in range(1, len(spans))]
    proxy = nearest_learnt(vocabulary, syntax.chords)
    chance = chances(scores, steps)[:, proxy]
    by_root = _share(chance, vocabulary.roots, 12)
    kinds = vocabulary.roots * (vocabulary.kinds.max() + 1) + vocabulary.kinds
    by_kind = _share(chance, kinds, int(kinds.max()) + 1)
    by_bass = _share(chance, vocabulary.basses, 12)[:, vocabulary.basses]
    is_hymn = is_hymn_like(melody)
    often = np.log(by_kind.mean(axis=0) + _LEAST) - np.log(_LEAST)
    likelihood = (_RICHNESS if is_hymn else _FREE_RICHNESS) * often[kinds] - (
        _ROOT_SHARE * np.log(by_root[:, vocabulary.roots] + _TINY)
        + _BASS_SHARE * np.log(by_bass + _TINY)
        + _KIND_SHARE * np.log(by_kind[:, kinds] + _TINY)
        + _CHORD_SHARE * np.log(chance + _TINY)
    )
    if is_hymn:
        prices = balance(likelihood, kinds, by_kind.sum(axis=0))
        likelihood = np.maximum(likelihood + prices[kinds], 0.0)
    told: dict[int, FloatArray] = {}
    for table in steps:
        if id(table) not in told:
            wide = table.astype(np.float64)[np.ix_(proxy, proxy)]
            told[id(table)] = wide.max() - wide
    return likelihood, [told[id(table)] for table in steps], by_root


def balance(costs: FloatArray, kinds: IntArray, expected: FloatArray) -> FloatArray:
    """Price chords taken more often than they are likely, and favour those taken less.

    Parameters
    ----------
    costs
        What each chord costs in each span, (spans, chords).
    kinds
        Which group (root and quality) each chord belongs to, (chords,).
    expected
        How often each group is expected in all, (groups,).

    Returns
    -------
    array
        A price for each group, (groups,): after each round it has gone up by the
        logarithm of how many times more often than expected its chords were cheapest.
    """
    prices = np.zeros(len(expected))
    for _ in range(_ROUNDS):
        taken = np.bincount(
            kinds[(costs + prices[kinds]).argmin(axis=1)], minlength=len(expected)
        )  # fmt: skip
        prices += _RAISE * np.log((taken + 1.0) / (expected + 1.0))
    return prices


def _share(chance: FloatArray, groups: IntArray, count: int) -> FloatArray:
    """Chances added up by group, shape (spans, count)."""
    member = np.zeros((count, len(groups)))
    member[groups, np.arange(len(groups))] = 1.0
    total: FloatArray = chance @ member.T
    return total


def nearest_learnt(vocabulary: Vocabulary, learnt: ChordList) -> IntArray:
    """For each chord the learnt chord it is, or the most like it (fixed chords only)."""
    nearest = []
    for entry in vocabulary.entries:
        kind = QUALITIES.index(entry.quality) if entry.quality in QUALITIES else -1
        alike = (
            4 * (learnt.roots == entry.root)
            + 3 * (learnt.kinds == kind)
            + 2 * (learnt.basses == entry.bass)
        )
        nearest.append(int(alike.argmax()))
    return np.array(nearest, np.intp)
