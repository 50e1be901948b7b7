"""The preset `chorale` in four parts: costs learnt from Bach's chorales.

A contribution says how much less likely Bach is to write this: 1 is a factor of e.
It is the sum of one row from each table of `chorale_tables`; the tables are fitted
by `harmony.learning.fit_chorale_voicing`, and kept in whole hundredths, so that sums
are exact. In the tables 0 is what he writes on the whole. So that no term
of any chord lies below 0, every voicing and every step pays the same constant for
each term (voicing/chorale_zero.csv, found by `harmony.learning.chorale_zero`). No
choice depends on it.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from harmony.pitch.key import Key
from harmony.tables import read_rows, read_text
from harmony.voicings.chorale_tables import ASPECTS, LOWEST, VOICES, Aspect, Chords, Scene, Whole
from harmony.voicings.costs import TERM_NAMES

TABLE = "learnt/chorale_voicing.csv"
ZERO = "voicing/chorale_zero.csv"
GRAIN = 100
"""Amounts to the unit."""
FIFTH = 7


@dataclass(frozen=True, eq=False)
class LearntTable:
    """An aspect with its amounts: ``values`` has shape (terms of the aspect, groups * rows)."""

    aspect: Aspect
    values: Whole
    starts: NDArray[np.intp]

    def look_up(self, scene: Scene) -> Whole:
        """Give the amounts by term and group, shape (terms, groups, ...)."""
        return self.values.take(self._places(scene), axis=1)

    def add_to(self, totals: Whole, scene: Scene) -> None:
        """Add the amounts of all groups to the totals by term, shape (16, ...)."""
        places = self._places(scene)
        for term, values in zip(self.aspect.terms, self.values, strict=True):
            totals[TERM_NAMES.index(term)] += values.take(places).sum(axis=0, dtype=np.int32)

    def _places(self, scene: Scene) -> NDArray[np.intp]:
        rows = self.aspect.read(scene)
        # As wide as an index, so that looking up need not widen them for every term.
        places: NDArray[np.intp] = rows + self.starts.reshape(-1, *(1,) * (rows.ndim - 1))
        return places


@dataclass(frozen=True, slots=True)
class LearntItem:
    """One entry of a bill, in hundredths: what some voices (from the lowest, 0) add to a term."""

    term: str
    voices: tuple[int, ...]
    amount: int


def spread_by_term(aspect: Aspect, values: Whole) -> Whole:
    """Give one row of amounts for each term of the aspect, from ``values`` (groups * rows,)."""
    if aspect.place is None:
        return values[None]
    place = np.tile(aspect.place(np.arange(aspect.rows, dtype=np.int32)), len(aspect.groups))
    place = np.where(values > 0, place, 0)
    return np.where(place == np.arange(len(aspect.terms))[:, None], values, 0).astype(np.int32)


def parse_tables(text: str) -> tuple[LearntTable, ...]:
    """Read the tables from CSV text: a line for each group of voices of each aspect.

    ``shift`` stands in every row of the line, ``values`` holds what some rows add
    to it, as ``row:amount``.
    """
    lines: dict[str, list[dict[str, str]]] = {}
    for line in csv.DictReader(row for row in text.splitlines() if not row.startswith("#")):
        lines.setdefault(line["table"], []).append(line)
    tables = []
    for aspect in ASPECTS:
        values = np.empty((len(aspect.groups), aspect.rows), np.int32)
        for group, line in zip(values, lines[aspect.name], strict=True):
            group[:] = int(line["shift"])
            entries = np.array(line["values"].replace(":", " ").split(), np.int32).reshape(-1, 2)
            group[entries[:, 0]] += entries[:, 1]
        starts = np.arange(len(values), dtype=np.intp) * aspect.rows
        tables.append(LearntTable(aspect, spread_by_term(aspect, values.ravel()), starts))
    return tuple(tables)


@cache
def load_tables() -> tuple[LearntTable, ...]:
    """Give the tables shipped with the package."""
    return parse_tables(read_text(TABLE))


@cache
def zero_terms(*, singles: bool) -> NDArray[np.int32]:
    """Give what every voicing, or every step, pays for each term, shape (16,)."""
    column = "of_voicing" if singles else "of_step"
    paid = dict(read_rows(ZERO, lambda row: (row["term"], int(row[column]))))
    return np.array([paid.get(term, 0) for term in TERM_NAMES], np.int32)


@cache
def usual_heights() -> tuple[int, ...]:
    """Give the MIDI number at which each voice costs least, lowest voice first."""
    table = next(table for table in load_tables() if table.aspect.terms == ("register",))
    rows = table.values.reshape(VOICES, -1).argmin(axis=1)
    return tuple((rows + LOWEST).tolist())


def is_covered(voices: int) -> bool:
    """Tell whether these costs know this number of voices: four and no other."""
    return voices == VOICES


def single_terms(voicings: NDArray[np.integer], key: Key | None) -> NDArray[np.int32]:
    """Charge voicings for being there, in hundredths, by term.

    Parameters
    ----------
    voicings
        MIDI numbers, lowest voice first, shape (n, 4).
    key
        Any key with the signature; None leaves out what depends on one.

    Returns
    -------
    ndarray
        Shape (16, n), in the order of `TERM_NAMES`.
    """
    chords = Chords(_as_columns(voicings))
    return _add_up(Scene(chords, chords, _find_tonic(key)), key, (len(voicings),), singles=True)


def pair_terms(
    previous: NDArray[np.integer], current: NDArray[np.integer], key: Key | None
) -> NDArray[np.int32]:
    """Charge every step from one list of voicings to another, in hundredths, by term.

    Parameters
    ----------
    previous, current
        MIDI numbers, lowest voice first, shapes (n, 4) and (m, 4).
    key
        Any key with the signature; None leaves out what depends on one.

    Returns
    -------
    ndarray
        Shape (16, n, m), in the order of `TERM_NAMES`.
    """
    scene = _make_scene(previous, current, key)
    return _add_up(scene, key, (len(previous), len(current)), singles=False)


def change_costs(
    previous: NDArray[np.integer], candidates: NDArray[np.integer], key: Key | None
) -> NDArray[np.float64]:
    """Add up what it costs to go from one voicing (4,) to others (n, 4), and to be there."""
    step = pair_terms(previous[None], candidates, key)[:, 0]
    total: NDArray[np.float64] = (step + single_terms(candidates, key)).sum(axis=0) / GRAIN
    return total


def itemise_step(
    previous: NDArray[np.integer], current: NDArray[np.integer], key: Key | None
) -> tuple[LearntItem, ...]:
    """Say what each voice or group adds in the step between two voicings, (4,) each.

    Amounts are counted from what he writes on the whole: below 0 is commoner.  With
    `zero_terms` they add up to `pair_terms`.
    """
    return _itemise(_make_scene(previous[None], current[None], key), key, singles=False)


def itemise_voicing(voicing: NDArray[np.integer], key: Key | None) -> tuple[LearntItem, ...]:
    """Say what each voice or group adds for being there, of a voicing (4,); see `itemise_step`."""
    chords = Chords(_as_columns(voicing[None]))
    return _itemise(Scene(chords, chords, _find_tonic(key)), key, singles=True)


def _as_columns(voicings: NDArray[np.integer]) -> Whole:
    return np.ascontiguousarray(voicings.T, dtype=np.int32)


def _make_scene(
    previous: NDArray[np.integer], current: NDArray[np.integer], key: Key | None
) -> Scene:
    before, after = _as_columns(previous)[:, :, None], _as_columns(current)[:, None, :]
    return Scene(Chords(before), Chords(after), _find_tonic(key))


def _find_tonic(key: Key | None) -> int:
    return 0 if key is None else FIFTH * key.fifths % 12


def _select(key: Key | None, *, singles: bool) -> list[LearntTable]:
    return [
        table
        for table in load_tables()
        if table.aspect.is_single == singles and not (key is None and table.aspect.needs_key)
    ]


def _add_up(
    scene: Scene, key: Key | None, shape: tuple[int, ...], *, singles: bool
) -> NDArray[np.int32]:
    totals = np.zeros((len(TERM_NAMES), *shape), np.int32)
    totals += zero_terms(singles=singles).reshape(-1, *(1,) * len(shape))
    for table in _select(key, singles=singles):
        table.add_to(totals, scene)
    return totals


def _itemise(scene: Scene, key: Key | None, *, singles: bool) -> tuple[LearntItem, ...]:
    bill: dict[tuple[str, tuple[int, ...]], int] = {}
    for table in _select(key, singles=singles):
        amounts = table.look_up(scene).reshape(len(table.aspect.terms), -1)
        for term, row in zip(table.aspect.terms, amounts.tolist(), strict=True):
            for voices, amount in zip(table.aspect.groups, row, strict=True):
                bill[term, voices] = bill.get((term, voices), 0) + amount
    return tuple(LearntItem(term, voices, sum_) for (term, voices), sum_ in bill.items() if sum_)
