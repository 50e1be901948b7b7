"""The fit of phrase ends: the same twice, and it cuts what it was fitted to."""

from __future__ import annotations

from harmony.harmonising.phrase_ends import cut_in_beats
from harmony.learning.fit_phrase_ends import (
    fit,
    list_choices,
    read_names,
    read_phrased,
    write_table,
)

PIECES = ("bwv6.6", "bwv40.8", "bwv57.8")


def test_a_small_fit_is_the_same_twice_and_cuts_what_it_was_fitted_to() -> None:
    pieces = read_phrased(PIECES)
    weights = fit(list_choices(pieces))
    assert write_table(weights) == write_table(fit(list_choices(pieces)))
    table = {fact: value / 100 for fact, value in weights.items()}
    told = {(piece, end) for piece in pieces for end in cut_in_beats(piece.tune, table)}
    true = {(piece, end) for piece in pieces for end in piece.ends}
    assert len(told & true) >= 0.9 * max(len(told), len(true))


def test_pieces_to_fit_and_pieces_for_settings_are_apart() -> None:
    assert not set(read_names("fit")) & set(read_names("settings"))
    assert len(read_names("fit")) == 254
