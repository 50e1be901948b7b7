"""The shipped tables are what the scripts make of the corpus, byte for byte."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from harmony.harmonising import phrase_ends, syntax
from harmony.learning import fit_chorale_voicing, fit_phrase_ends, fit_syntax
from harmony.learning.chorale_choices import find_ranges, list_choices
from harmony.learning.chorale_slices import read_chorales
from harmony.learning.fit_chorale_voicing import fit, read_ids, select, write_tables
from harmony.resources import find_data
from harmony.voicings.chorale_tables import ASPECTS
from harmony.voicings.learnt_chorale import TABLE, parse_tables

PIECES = ("bwv6.6", "bwv40.8", "bwv57.8")


@pytest.mark.sweep
@pytest.mark.slow
@pytest.mark.timeout(0)  # an hour or more on a busy machine, which is no fault
@pytest.mark.parametrize(
    ("script", "table"),
    [
        (fit_chorale_voicing, TABLE),
        (fit_phrase_ends, phrase_ends.TABLE),
        (fit_syntax, syntax.TABLE),
    ],
    ids=("voicing", "phrase ends", "syntax"),
)
def test_the_whole_table_is_rebuilt_byte_for_byte(script, table: str, tmp_path: Path) -> None:
    again = tmp_path / Path(table).name
    script.main([str(again)])
    assert again.read_bytes() == find_data(*table.split("/")).read_bytes()


def test_a_small_fit_is_the_same_twice_and_makes_what_was_written_likelier() -> None:
    slices = read_chorales(PIECES)
    text = write_tables(fit(slices, steps=6))
    assert text == write_tables(fit(slices, steps=6))
    tables = parse_tables(text)
    assert [table.aspect.name for table in tables] == [aspect.name for aspect in ASPECTS]
    selection = select(list_choices(slices, find_ranges(slices)))
    weights = np.concatenate([table.values.sum(axis=0) for table in tables]) / 100
    _, losses = selection.chances(selection.costs(weights))
    _, uniform = selection.chances(np.zeros(selection.rows.shape[1]))
    assert losses.mean() < 0.7 * uniform.mean()


def test_pieces_to_fit_and_pieces_for_settings_are_apart() -> None:
    for_fit, for_settings = read_ids("fit"), read_ids("settings")
    assert (len(for_fit), len(for_settings)) == (184, 28)
    assert not set(for_fit) & set(for_settings)


def test_the_shipped_table_has_a_line_for_every_group_of_voices() -> None:
    lines = list(csv.DictReader(find_data(*TABLE.split("/")).read_text().splitlines()))
    expected = [(a.name, " ".join(map(str, group))) for a in ASPECTS for group in a.groups]
    assert [(line["table"], line["voices"]) for line in lines] == expected
    assert {line["source"] for line in lines} == {"bach_chorales"}
