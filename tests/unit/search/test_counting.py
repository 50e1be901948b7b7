"""Counting paths with whole numbers of any size, against plain Python."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from harmony.search import count_chains


def count_plainly(tables):
    ways = [1] * tables[-1].shape[1]
    for table in reversed(tables):
        ways = [sum(w for w, is_open in zip(ways, row, strict=True) if is_open) for row in table]
    return sum(ways)


@pytest.mark.parametrize("seed", range(12))
def test_random_tables_of_up_to_eighty_layers(seed):
    rng = np.random.default_rng(seed)
    sizes = rng.integers(1, 40, size=int(rng.integers(2, 81)))
    share = rng.uniform(0.3, 1.0)
    pairs = itertools.pairwise(sizes)
    tables = [rng.random((n, m)) < share for n, m in pairs]
    assert count_chains(tables) == count_plainly(tables)


def test_a_count_far_beyond_sixty_four_bits():
    table = np.ones((1000, 1000), dtype=bool)
    assert count_chains([table] * 99) == 1000**100


def test_no_open_step_counts_nothing():
    assert count_chains([np.ones((3, 4), dtype=bool), np.zeros((4, 2), dtype=bool)]) == 0


def test_no_table_is_refused():
    with pytest.raises(ValueError, match="at least one"):
        count_chains([])
