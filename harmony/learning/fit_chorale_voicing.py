"""Fit the costs of the preset `chorale` to Bach's chorales, and write their tables.

    python -m harmony.learning.fit_chorale_voicing [FILE]

At every change of chord Bach chose one of some seventy voicings. The chance of each
is taken to fall exponentially with its cost (the log-linear model of voice leading
of Harrison and Pearce 2020), and the rows of `harmony.voicings.chorale_tables` are
fitted to what he chose in the pieces marked `fit` in learnt/chorale_ids.csv. The
pieces marked `settings` served to choose the constants below, and no other
piece is read. The same music21 corpus gives the same file, byte for byte; set
OMP_NUM_THREADS=1 where the linear algebra library uses several threads.
"""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from harmony.learning.chorale_choices import (
    Choices,
    Ranges,
    find_ranges,
    list_choices,
    list_middles,
    list_with_fifths,
)
from harmony.learning.chorale_slices import ChoraleSlices, read_chorales
from harmony.learning.softmax_fit import (
    Floats,
    Selection,
    add_objectives,
    make_objective,
    minimise,
)
from harmony.resources import find_data
from harmony.saving import save_text
from harmony.tables import read_rows
from harmony.voicings.chorale_tables import (
    ASPECTS,
    PARALLEL,
    SIMILAR,
    Aspect,
    Chords,
    Scene,
    Whole,
    place_interval_step,
)
from harmony.voicings.learnt_chorale import GRAIN, TABLE

IDS = "learnt/chorale_ids.csv"
SOURCE = "bach_chorales"

PENALTY = 12.0
"""How strongly the squares of all rows are held down."""
CONTEXT = 0.2
"""How much it counts, besides what he chose after the chord before, what he chose
knowing the chord after as well; without it the path of least cost through a whole
chorale is less like his."""
STRICTNESS = 1.25
"""Added to consecutive perfects in similar motion. On the beat Bach seems to write them in 2.5 %
of his steps, because the faster notes that part them lie between; a progression of
bare chords has no such notes."""
FIFTH_PENALTY = 1.0
"""The same as PENALTY, for chords without a fifth."""
STEPS = 600
PRECISION = 1e-13


@dataclass(frozen=True, slots=True)
class Fitted:
    """The fit: for each aspect its weights (groups, rows), and what each group averages for Bach.

    Averages have shape (groups,).
    """

    weights: tuple[Floats, ...]
    averages: tuple[Floats, ...]


def read_ids(use: str) -> tuple[str, ...]:
    """Give the names of the pieces for a use, ``fit`` or ``settings``, in order."""
    rows = read_rows(IDS, lambda row: (row["bwv_file"], row["use"]), needs=("bwv_file", "use"))
    return tuple(name for name, own in rows if own == use)


def select(choices: Choices, aspects: Sequence[Aspect] = ASPECTS) -> Selection:
    """Look up the row of every table for all choices: each its step, and being there."""
    scene = Scene(Chords(choices.before), Chords(choices.after), choices.tonic)
    return _look_up([(aspect, [aspect.read(scene)]) for aspect in aspects], choices)


def select_both(choices: Choices, following: Whole) -> Selection:
    """Look up the same and also the step onward from each choice to what follows."""
    after = Chords(choices.after)
    inward = Scene(Chords(choices.before), after, choices.tonic)
    onward = Scene(after, Chords(following), choices.tonic)
    looked_up = [
        (aspect, [aspect.read(scene) for scene in (inward, onward)[: 1 if aspect.is_single else 2]])
        for aspect in ASPECTS
    ]
    return _look_up(looked_up, choices)


def _look_up(looked_up: Sequence[tuple[Aspect, list[Whole]]], choices: Choices) -> Selection:
    rows: list[Whole] = []
    spans: list[tuple[int, int]] = []
    start = 0
    for aspect, readings in looked_up:
        for group in range(len(aspect.groups)):
            for reading in readings:
                rows.append((reading[group] + start).astype(np.int32))
                spans.append((start, start + aspect.rows))
            start += aspect.rows
    return Selection(np.stack(rows), tuple(spans), choices.starts, choices.chosen)


def fit(slices: ChoraleSlices, *, steps: int = STEPS) -> Fitted:
    """Fit all tables to the slices, completeness last and by itself."""
    ranges = find_ranges(slices)
    selection = select(list_choices(slices, ranges))
    size = selection.spans[-1][1]
    step_by_step = make_objective(selection, np.full(size, PENALTY))
    in_context = make_objective(select_both(*list_middles(slices, ranges)), np.zeros(size))
    flat = minimise(
        add_objectives(step_by_step, in_context, CONTEXT),
        np.zeros(size),
        steps=steps,
        precision=PRECISION,
    )
    slots = iter(zip(selection.rows, selection.spans, strict=True))
    weights, averages = [], []
    for aspect in ASPECTS:
        own = [next(slots) for _ in aspect.groups]
        weights.append(np.stack([flat[start:stop] for _, (start, stop) in own]))
        averages.append(np.array([flat[rows[selection.chosen]].mean() for rows, _ in own]))
    _add_strictness(weights)
    place = _place_of("without fifth")
    weights[place] = _fit_completeness(slices, ranges, flat)[None]
    averages[place] = np.zeros(1)
    return Fitted(tuple(weights), tuple(averages))


def _place_of(name: str) -> int:
    return next(place for place, aspect in enumerate(ASPECTS) if aspect.name == name)


def _add_strictness(weights: list[Floats]) -> None:
    rows = np.arange(ASPECTS[_place_of("interval steps")].rows, dtype=np.int32)
    is_meant = (place_interval_step(rows) == 1) & np.isin(rows % 4, (SIMILAR, PARALLEL))
    weights[_place_of("interval steps")][:, is_meant] += STRICTNESS


def _fit_completeness(slices: ChoraleSlices, ranges: Ranges, flat: Floats) -> Floats:
    """Fit what leaving out the fifth costs, all else being as fitted before."""
    choices = list_with_fifths(slices, ranges)
    known = select(choices).costs(flat)
    selection = select(choices, (ASPECTS[_place_of("without fifth")],))
    selection = Selection(
        selection.rows, selection.spans, choices.starts, choices.chosen, given=known
    )
    size = selection.spans[-1][1]
    found = minimise(
        make_objective(selection, np.full(size, FIFTH_PENALTY)),
        np.zeros(size),
        steps=STEPS,
        precision=PRECISION,
    )
    # Only differences tell; a complete chord (row 0) is to cost nothing.
    differences: Floats = found - found[0]
    return differences


def write_tables(fitted: Fitted) -> str:
    """Give the tables as CSV text, in whole hundredths; see `learnt_chorale.parse_tables`."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["table", "voices", "shift", "values", "source"])
    for aspect, weights, averages in zip(ASPECTS, fitted.weights, fitted.averages, strict=True):
        for voices, row, average in zip(aspect.groups, weights, averages, strict=True):
            whole = np.rint(row * GRAIN).astype(np.int64)
            filled = np.flatnonzero(whole)
            values = " ".join(f"{place}:{whole[place]}" for place in filled.tolist())
            shift = -int(np.rint(average * GRAIN))
            writer.writerow([aspect.name, " ".join(map(str, voices)), shift, values, SOURCE])
    return text.getvalue()


def main(arguments: Sequence[str] | None = None) -> None:
    """Read the corpus, fit, and write the tables."""
    parser = argparse.ArgumentParser(description="Fit the costs of the preset chorale.")
    parser.add_argument("file", nargs="?", type=Path, default=find_data() / TABLE)
    path: Path = parser.parse_args(arguments).file
    names = read_ids("fit")
    print(f"reading {len(names)} chorales")
    slices = read_chorales(names)
    print(f"fitting {len(ASPECTS)} tables to {len(slices.pitches)} sonorities")
    save_text(path, write_tables(fit(slices)), overwrite=True)
    print(f"written: {path}")


if __name__ == "__main__":
    main()
