"""Three chorales sliced anew equal their rows in the published table, flags and all."""

from __future__ import annotations

import numpy as np

from harmony.learning.chorale_slices import BREAK, CROSSED, FERMATA, read_chorales
from tests.published.rows import read_table

PIECES = ("bwv6.6", "bwv40.8", "bwv57.8")


def test_chorales_read_from_the_corpus_equal_the_table() -> None:
    read = read_chorales(PIECES)
    for song, piece in enumerate(PIECES):
        rows = [row for row in read_table("chorale_slices") if row["piece"] == piece]
        own = read.song == song
        voices = [[int(row[v]) for v in ("bass", "tenor", "alto", "soprano")] for row in rows]
        assert np.array_equal(read.pitches[own], voices)
        assert np.array_equal(read.beat[own], [int(row["beat"]) for row in rows])
        assert np.array_equal(read.flags[own], [int(row["flags"]) for row in rows])
        assert {int(row["key_sharps"]) for row in rows} == {int(read.key_sharps[song])}


def test_the_rows_show_every_flag() -> None:
    flags = np.bitwise_or.reduce([int(row["flags"]) for row in read_table("chorale_slices")])
    assert flags == CROSSED | FERMATA | BREAK
