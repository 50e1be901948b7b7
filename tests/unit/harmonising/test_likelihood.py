"""Prices that keep common chords from being taken more often than they are likely."""

from __future__ import annotations

import numpy as np

from harmony.harmonising.likelihood import balance


def take(costs, kinds, prices):
    return np.bincount(kinds[(costs + prices[kinds]).argmin(axis=1)], minlength=len(prices))


def test_a_chord_always_a_little_likelier_is_not_always_taken():
    # 60 spans: the first chord has .51 to .70 of the chance, the second the rest.
    chance = np.linspace(0.51, 0.70, 60)
    costs = -np.log(np.stack([chance, 1 - chance], axis=1))
    kinds = np.array([0, 1])
    expected = np.array([chance.sum(), 60 - chance.sum()])
    prices = balance(costs, kinds, expected)
    assert prices[0] > 0 > prices[1]
    before, after = take(costs, kinds, np.zeros(2)), take(costs, kinds, prices)
    assert before[1] == 0
    assert abs(after[1] - expected[1]) < 3


def test_chords_taken_as_often_as_they_are_likely_cost_nothing_more():
    costs = np.array([[0.0, 2.0], [2.0, 0.0], [0.0, 2.0], [2.0, 0.0]])
    assert np.allclose(balance(costs, np.array([0, 1]), np.array([2.0, 2.0])), 0.0)


def test_chords_of_one_group_have_one_price():
    rng = np.random.default_rng(4)
    kinds = np.array([0, 0, 1, 2, 2])
    prices = balance(rng.uniform(0, 3, (50, 5)), kinds, np.array([10.0, 30.0, 10.0]))
    assert prices.shape == (3,)
    assert prices[1] < max(prices[0], prices[2])
