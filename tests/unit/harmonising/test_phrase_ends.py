"""Phrases of tunes that move in beats, cut as the chorales are phrased."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmony.harmonising.melody import analyse
from harmony.harmonising.phrase_ends import count_in_beats, cut_in_beats
from harmony.pitch import Theme
from tests.published.chorale_melodies import case_to_theme, read_cases

CASES = read_cases()


def ends_of(case) -> set[float]:
    return {onset + length for onset, length, _, _, marked in case["melody"] if marked}


def test_phrase_ends_are_those_of_the_fermatas_in_chorales_not_learnt_from():
    right = found = true = 0
    for case in CASES:
        marked = ends_of(case)
        theme = case_to_theme(case, fermatas=False)
        if len(marked) < 3:
            continue  # no fermatas inside: nothing to compare with
        told = {float(phrase.end) for phrase in analyse(theme).phrases}
        last = float(theme.line.sounding[-1].end)
        right += len((told & marked) - {last})
        found += len(told - {last})
        true += len(marked - {last})
    assert right / found >= 0.85
    assert right / true >= 0.85


def test_a_fermata_on_the_last_note_alone_leaves_the_phrases_to_be_found():
    case = next(case for case in CASES if len(ends_of(case)) == 1)
    theme = case_to_theme(case)
    assert len(analyse(theme).phrases) >= 4
    assert len(analyse(theme, phrase_ends=theme.phrase_ends).phrases) == 1


def test_cut_is_the_likeliest_of_all(themes_in_beats):
    """Against every way to cut a short tune, tried one by one."""
    table = {"equal 4 yes": 0.7, "length 4 4": 0.5, "note 4 2 on": 0.8, "out 3": 0.4}
    for tune in themes_in_beats:
        best = max(every_cut(tune), key=lambda ends: rate(tune, ends, table))
        found = tuple(cut_in_beats(tune, table))
        assert rate(tune, found, table) == pytest.approx(rate(tune, best, table))


@pytest.fixture
def themes_in_beats():
    tunes = []
    for case in CASES[:6]:
        theme: Theme = case_to_theme(case, fermatas=False)
        short = replace(theme, line=replace(theme.line, notes=theme.line.notes[:17]))
        tune = count_in_beats(short.line.sounding, theme.meters)
        assert tune is not None
        tunes.append(tune)
    return tunes


def every_cut(tune, start=0):
    for end in range(start, len(tune)):
        if not tune.can_end(start, end):
            continue
        if end == len(tune) - 1:
            yield (end,)
        else:
            yield from ((end, *rest) for rest in every_cut(tune, end + 1))


def rate(tune, ends, table):
    """The logarithm of the chance of a cut, written out choice by choice."""
    import math

    from harmony.harmonising.phrase_ends import (
        count_long,
        describe_end,
        describe_pair,
        describe_phrase,
    )

    total, start, before = 0.0, 0, None
    for end in ends:
        ratings = {}
        for i in range(start, len(tune)):
            if not tune.can_end(start, i):
                continue
            facts = describe_end(tune, i) + describe_phrase(
                tune, start, i, count_long(tune, start, i)
            )
            beats = tune.ends[i] - tune.onsets[start]
            if before is not None:
                facts.append(describe_pair(tune.bar, is_equal=beats == before))
            ratings[i] = sum(table.get(fact, 0.0) for fact in facts)
        total += ratings[end] - math.log(sum(math.exp(value) for value in ratings.values()))
        before, start = tune.ends[end] - tune.onsets[start], end + 1
    return total
