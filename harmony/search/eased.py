"""What the best path costs when one layer alone is charged less: for large layers, by halves."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from harmony.search.halved import SplitProblem, begin_exact
from harmony.search.outcome import StoppedError
from harmony.search.split import SplitPairs


def eased_split(problem: SplitProblem) -> NDArray[np.float64]:
    """The least cost with one term not charged at one layer and on the way to it, (terms, layers).

    Exact for each term and layer by itself.  Raises StoppedError where the
    report stops it, NoPathError when there is no path.
    """
    layers, splits, weights = problem.layers, problem.splits, problem.weights
    rated = [term for term, rate in enumerate(weights.pair or weights.single) if rate]
    run, ahead, behind = begin_exact(problem, more_passes=len(rated))
    best = int(ahead[0].min())
    values = np.full((len(layers.names), len(layers.single)), best, dtype=np.int64)
    before = run.done
    for turn, term in enumerate(rated):
        run.done = before + turn * len(run.steps)
        rates = tuple(0 if place == term else rate for place, rate in enumerate(weights.pair))
        eased = {id(one): one.weigh(rates, run.bar) for one in splits}
        for place, kept in enumerate(run.kept):
            given = weights.single[term] * layers.single[place][term].astype(np.int64)
            # From each choice on, itself included but for the term.
            onward = ahead[place] - given[kept]
            if not place:
                values[term, place] = onward.min()
                continue
            split, last = splits[place - 1], run.kept[place - 1]
            if not _is_charged(split, term):
                values[term, place] = (onward + behind[place] - run.node[place][kept]).min()
                continue
            if not run.go_on():
                raise StoppedError
            steps = eased[id(split)].turned().chosen(kept, last)
            arrived = run.work_out(steps, behind[place - 1], best - onward)
            if arrived is None:
                raise StoppedError
            values[term, place] = min(int((arrived + onward).min()), best)
    return values / weights.scale


def _is_charged(split: SplitPairs, term: int) -> bool:
    """Tell whether a term charges any of these steps."""
    tables = split.lower[term].any() or split.upper[term].any()
    return bool(tables) or any(word.term == term for word in split.words)
