"""Optima of 47 SATB realisations found by exhaustive programme, under that table's constraints.

Table: tables/10c_realisations.csv (source and constraints in its `source` column).
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from harmony.chords.api import parse
from harmony.instruments.catalogue import ensemble
from harmony.pitch.spelling import Pitch
from harmony.search import costs_from_start, costs_to_go
from harmony.voicings.api import prepare
from harmony.voicings.costs import TERM_NAMES
from harmony.voicings.rules import NoConsecutivePerfects, RuleSet

TABLE = Path(__file__).parent / "tables" / "10c_realisations.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
OPTIMA = [row for row in ROWS if row["voicings_per_chord"]]
FIXED_START = [row for row in ROWS if not row["voicings_per_chord"]]
REGISTERS = {"Soprano": "C4-G5", "Alto": "G3-C5", "Tenor": "C3-G4", "Bass": "E2-C4"}
MOTION_ONLY = dict.fromkeys(TERM_NAMES, 0) | {"motion": 1}
GAPS = (12, 12, 24)


@dataclass(frozen=True)
class WholeWithSingleTendencies:
    """Every chord tone present; the key's leading tone and a chordal seventh at most once."""

    name: str = "the table's constraints"

    def allows(self, voicings):
        fine = voicings.presence.all(axis=1)
        leading = (voicings.sonority.key.tonic.pitch_class - 1) % 12
        for number, member in enumerate(voicings.sonority.members):
            if member.pitch_class == leading or member.role == "seventh":
                fine &= voicings.counts[:, number] <= 1
        return fine


def problem_of(row, *, forbids_consecutives=True, pins=()):
    choir = replace(ensemble("SATB choir"), gaps=GAPS)
    rules = RuleSet(
        tendency_once=False,
        steps=(NoConsecutivePerfects(),) if forbids_consecutives else (),
        own=(WholeWithSingleTendencies(),),
    )
    text = f"{row['key']}: " + " | ".join(row["progression"].split())
    return prepare(parse(text), choir, rules, registers=REGISTERS, pins=pins)


def total_motion(pitches):
    midi = np.array([[pitch.midi for pitch in chord] for chord in pitches])
    return int(np.abs(np.diff(midi, axis=0)).sum())


@pytest.mark.parametrize("row", OPTIMA, ids=lambda row: row["id"] + " " + row["progression"])
def test_optimum_and_counts(row):
    problem = problem_of(row)
    counts = [len(voicings) for voicings in problem.layout.voicings]
    assert counts == [int(n) for n in row["voicings_per_chord"].split()]
    best = problem.best(MOTION_ONLY)
    assert best.cost == int(row["min_cost_parallels_forbidden"]) == total_motion(best.pitches)
    assert best.outcome.status == "optimal"
    loose = problem_of(row, forbids_consecutives=False).best(MOTION_ONLY)
    assert loose.cost == int(row["min_cost_parallels_allowed"])


@pytest.mark.parametrize("row", OPTIMA, ids=lambda row: row["id"] + " " + row["progression"])
def test_number_of_optimal_realisations(row):
    problem = problem_of(row)
    expected = int(row["n_optimal_paths"])
    found = problem.k_best(expected + 1, MOTION_ONLY)
    assert sum(one.cost == found[0].cost for one in found) == expected
    weighed, _ = problem.weigh(MOTION_ONLY)
    assert costs_to_go(weighed)[0].min() == costs_from_start(weighed)[-1].min()


@pytest.mark.parametrize("row", OPTIMA, ids=lambda row: row["id"])
def test_the_printed_optimum_costs_what_it_says(row):
    chords = [chord.split() for chord in row["one_optimal_bass_to_soprano"].split("|")]
    names = ("Bass", "Tenor", "Alto", "Soprano")
    pins = [
        f"{bar}.1 {name}={pitch}"
        for bar, chord in enumerate(chords, start=1)
        for name, pitch in zip(names, chord, strict=True)
    ]
    pinned = problem_of(row, pins=pins).best(MOTION_ONLY)
    assert pinned.cost == int(row["min_cost_parallels_forbidden"])


@pytest.mark.parametrize("row", FIXED_START, ids=lambda row: row["id"])
def test_optimum_from_a_fixed_first_voicing(row):
    start = row["inputs"].split("start ")[1].split()
    pins = [
        f"1.1 {name}={pitch}"
        for name, pitch in zip(("Soprano", "Alto", "Tenor", "Bass"), start, strict=True)
    ]
    best = problem_of(row, pins=pins).best(MOTION_ONLY)
    assert best.cost == int(row["expected"])
    assert best.pitches[0] == tuple(Pitch.from_text(pitch) for pitch in start)
