"""What every voicing and every step pays in the preset `chorale`, so that nothing lies below 0.

    python -m harmony.learning.chorale_zero [FILE]

In the learnt tables 0 is what Bach writes on the whole, and what is commoner lies
below. The constant of a term is the least its tables can come to together, over all
that four voices could do: found exactly where the tables read few notes, and else
from below, table by table. So no term of any chord can lie below 0.
"""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Sequence
from itertools import product
from pathlib import Path

import numpy as np

from harmony.resources import find_data
from harmony.saving import save_text
from harmony.voicings.chorale_measures import SHARE, SHARED_UP_TO
from harmony.voicings.chorale_tables import (
    ASPECTS,
    CONTRARY,
    NEIGHBOURS,
    OBLIQUE,
    PAIRS,
    PARALLEL,
    SIMILAR,
    VOICES,
    Chords,
    Scene,
    Whole,
)
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.learnt_chorale import ZERO, LearntTable, load_tables

SOURCE = "bach_chorales"
FARTHEST = 90
"""Semitones that two neighbours may stand apart."""
_MOVES = np.arange(-SHARED_UP_TO, SHARED_UP_TO + 1, dtype=np.int32)
"""Every move the tables tell apart; what is wider has the rows of the widest."""
_SHAPE = (len(_MOVES),) * VOICES


def find_least(term: str, *, singles: bool) -> int:
    """Give what the tables of a term can come to at the least, in hundredths."""
    if term == "resolution" and not singles:
        return find_least_of_moves()
    if term == "spacing" and singles:
        return _find_least_spacing()
    if term == "doubling" and singles:
        return _find_least_doubling()
    if term == "motion":
        return 0  # a semitone of motion stays a semitone; its tables stand under resolution
    return sum(
        int(_rows(table, term).min(axis=1).sum())
        for table in load_tables()
        if table.aspect.is_single == singles and term in table.aspect.terms
    )


def _rows(table: LearntTable, term: str) -> Whole:
    """The amounts of a table under one term, shape (groups, rows)."""
    values = table.values[table.aspect.terms.index(term)]
    rows: Whole = values.reshape(len(table.aspect.groups), -1)
    return rows


def _table(name: str, term: str) -> Whole:
    return _rows(next(t for t in load_tables() if t.aspect.name == name), term)


def _add_singles(term: str, chords: Chords, *, leave_out: str) -> Whole:
    """Sums of the tables of a term but one, for many chords, shape (n,)."""
    scene = Scene(chords, chords, 0)
    total = np.zeros(chords.pitches.shape[1:], np.int32)
    for table in load_tables():
        aspect = table.aspect
        if aspect.is_single and term in aspect.terms and aspect.name != leave_out:
            total += table.look_up(scene)[aspect.terms.index(term)].sum(axis=0)
    return total


def _find_least_spacing() -> int:
    """Over all gaps of four voices the tables tell apart: from an octave crossed to the widest.

    The whole compass is asked by itself, because gaps beyond these add up to any compass.
    """
    gaps = np.arange(-12, 40, dtype=np.int32)
    first, second, third = (a.ravel() for a in np.meshgrid(gaps, gaps, gaps, indexing="ij"))
    chords = Chords(np.stack([0 * first, first, first + second, first + second + third]) + 48)
    least = _add_singles("spacing", chords, leave_out="compass").min()
    return int(least + _table("compass", "spacing").min())


def _find_least_doubling() -> int:
    """Over all pitch classes of four voices, with a key and without.

    The key matters only by where its tonic stands, so one is enough.
    """
    classes = np.array(list(product(range(12), repeat=VOICES)), np.int32).T
    chords = Chords(classes + 48)
    degrees = "doubled degrees"
    return int(
        min(_add_singles("doubling", chords, leave_out=name).min() for name in ("", degrees))
    )


def find_least_of_moves() -> int:
    """Over all moves of four voices, and for each the commonest notes to make them from.

    What a semitone of motion stands for has been taken out of these tables.
    """
    total = np.zeros(_SHAPE, np.int64)
    for voice, least in enumerate(_least_by_voice()):
        total += least.reshape([-1 if axis == voice else 1 for axis in range(VOICES)])
    for number, pair in enumerate(PAIRS):
        least = _least_by_pair(number) + (_least_overlap(pair[0]) if pair in NEIGHBOURS else 0)
        total += least.reshape([len(_MOVES) if axis in pair else 1 for axis in range(VOICES)])
    moves = np.stack(np.meshgrid(*(_MOVES,) * VOICES, indexing="ij")).reshape(VOICES, -1)
    here = Chords(np.full_like(moves, 48))
    scene = Scene(here, Chords(here.pitches + moves), 0)
    for name in ("pattern", "total motion"):
        aspect = next(a for a in ASPECTS if a.name == name)
        total += _table(name, "motion")[0][aspect.read(scene)[0]].reshape(_SHAPE)
    return int(total.min())


def _least_by_voice() -> list[Whole]:
    """For each voice and move the least of the tables that read no other voice's move."""
    near = np.clip(_MOVES, -7, 7) + 7
    sizes = _common_tone_rows()
    shared = _table("common tones", "motion")
    found = []
    for voice in range(VOICES):
        least = _table("moves", "motion")[voice].astype(np.int64)
        by_degree = _table("moves from degree", "resolution")[voice].reshape(-1, 12).min(axis=1)
        least = least + np.minimum(by_degree, 0)  # not read without a key
        for name in ("moves from member", "moves above bass", "moves to member"):
            rows = _table(name, "resolution")[voice].reshape(15, -1)
            least = least + rows.min(axis=1)[near]
        least = least + np.minimum(shared[voice][sizes], shared[voice][sizes + 9])
        found.append(least - SHARE * np.abs(_MOVES))
    return found


def _common_tone_rows() -> Whole:
    aspect = next(a for a in ASPECTS if a.name == "common tones")
    here = np.full((VOICES, len(_MOVES)), 48, np.int32)
    rows: Whole = aspect.read(Scene(Chords(here), Chords(here + _MOVES), 0))[0] % 9
    return rows


def _least_by_pair(number: int) -> Whole:
    """For two voices and their moves, (27, 27): the least of the tables of pairs."""
    near = np.clip(_MOVES, -7, 7) + 7
    together = _table("pair moves", "motion")[number].reshape(15, 15)[near[:, None], near]
    by_kind = _table("interval steps", "motion")[number].reshape(-1, 4).min(axis=0)
    low, high = _MOVES[:, None], _MOVES[None, :]
    # Moves beyond the widest row may be alike or not, so both kinds are allowed for them.
    is_widest = np.abs(low) == SHARED_UP_TO
    parallel_or_not = min(by_kind[SIMILAR], by_kind[PARALLEL])
    alike = np.where(low == high, by_kind[PARALLEL], by_kind[SIMILAR])
    similar = np.where(is_widest, parallel_or_not, alike)
    apart = np.where(low * high > 0, similar, by_kind[CONTRARY])
    kinds = np.where(low * high == 0, by_kind[OBLIQUE], apart)
    least: Whole = together + kinds
    return least


def _least_overlap(low: int) -> Whole:
    """For two neighbours and their moves the least over all distances they may stand apart."""
    rising, falling = _table("overlap", "motion")[[low, low + len(NEIGHBOURS)]]
    gaps = np.arange(-FARTHEST, FARTHEST + 1)[:, None, None]
    up = rising[np.clip(_MOVES[:, None] - gaps, -8, 6) + 8]
    down = falling[8 - np.clip(gaps + _MOVES[None, :], -6, 8)]
    least: Whole = (up + down).min(axis=0)
    return least


def write_zero() -> str:
    """Give the constants as CSV text, in hundredths: what brings the least of each term to 0."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["term", "of_voicing", "of_step", "source"])
    for term in TERM_NAMES:
        paid = [-min(find_least(term, singles=singles), 0) for singles in (True, False)]
        if any(paid):
            writer.writerow([term, *paid, SOURCE])
    return text.getvalue()


def main(arguments: Sequence[str] | None = None) -> None:
    """Find the constants and write them."""
    parser = argparse.ArgumentParser(description="Find what every chord pays in chorale.")
    parser.add_argument("file", nargs="?", type=Path, default=find_data() / ZERO)
    path: Path = parser.parse_args(arguments).file
    save_text(path, write_zero(), overwrite=True)
    print(f"written: {path}")


if __name__ == "__main__":
    main()
