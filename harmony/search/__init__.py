"""Exact search over layers of choices, on plain numbers.

A problem is a row of layers; each layer holds choices, each choice and each
step from one choice to the next has a few whole-number terms.  Weights turn the
terms into costs; the searches find the cheapest ways through and say what has
been proven.  Nothing here knows what the numbers stand for.
"""

from harmony.search.best import best_path, costs_from_start, costs_to_go
from harmony.search.bounded import Progress, Report
from harmony.search.counting import count_chains, count_paths
from harmony.search.enumeration import enumerate_paths
from harmony.search.large import best_path_large, eased_within, price_within, search_within
from harmony.search.layers import ArrayPairs, Layers, PairTerms
from harmony.search.outcome import Counts, NoPathError, Outcome, PathCost, StoppedError
from harmony.search.packing import PackedLayers, Weighed, pack
from harmony.search.prices import choice_prices, eased_values
from harmony.search.ranked import ranked_paths
from harmony.search.split import Bars, Halves, SplitPairs, SplitSteps, Word
from harmony.search.stopping import stop_if_asked, stoppable
from harmony.search.unlike import unlike_paths
from harmony.search.weights import ExactWeights, scale_weights

__all__ = [
    "ArrayPairs",
    "Bars",
    "Counts",
    "ExactWeights",
    "Halves",
    "Layers",
    "NoPathError",
    "Outcome",
    "PackedLayers",
    "PairTerms",
    "PathCost",
    "Progress",
    "Report",
    "SplitPairs",
    "SplitSteps",
    "StoppedError",
    "Weighed",
    "Word",
    "best_path",
    "best_path_large",
    "choice_prices",
    "costs_from_start",
    "costs_to_go",
    "count_chains",
    "count_paths",
    "eased_values",
    "eased_within",
    "enumerate_paths",
    "pack",
    "price_within",
    "ranked_paths",
    "scale_weights",
    "search_within",
    "stop_if_asked",
    "stoppable",
    "unlike_paths",
]
