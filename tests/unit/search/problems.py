"""Small random problems for the searches."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import strategies as st

from harmony.search import ArrayPairs, Layers


@st.composite
def small_problems(
    draw: st.DrawFn, *, most_layers: int = 5, most_choices: int = 4
) -> tuple[Layers, list[float], list[float]]:
    """Layers of at most 4 choices with some forbidden steps, and weights in quarters."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    sizes = draw(st.lists(st.integers(1, most_choices), min_size=1, max_size=most_layers))
    top = draw(st.sampled_from([1, 3, 40, 5000]))
    pair_count = draw(st.integers(1, 4))
    single = tuple(rng.integers(0, top + 1, size=(2, n)) for n in sizes)
    pairs = tuple(
        ArrayPairs(
            tuple(f"p{i}" for i in range(pair_count)),
            rng.integers(-2, top + 1, size=(pair_count, n, m)),
            rng.random((n, m)) < 0.85,
        )
        for n, m in pairwise(sizes)
    )
    quarters = st.integers(0, 12).map(lambda x: x / 4)
    weights = draw(st.lists(quarters, min_size=2, max_size=2))
    pair_weights = (
        draw(st.lists(quarters, min_size=pair_count, max_size=pair_count)) if len(sizes) > 1 else []
    )
    return Layers(("a", "b"), single, pairs), weights, pair_weights
