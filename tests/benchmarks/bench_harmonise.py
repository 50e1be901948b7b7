"""How long five alternatives take, against one plain numpy pass over as many steps.

The reference adds and minimises one table of chords by chords for every span: one
search of the chain without melody, key regions or ideas.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

import harmony
from harmony.harmonising.again import closer
from harmony.harmonising.idiom import load_idiom
from harmony.harmonising.vocabulary import build_vocabulary
from harmony.pitch import Key, Line, MeterMap, Note, Pitch, Theme
from harmony.resources import find_corpora
from tests.benchmarks.ledger import Ledger
from tests.benchmarks.timing import timed


def hymn(bars: int) -> Theme:
    """A tune a note a beat, so that every beat takes a chord; the same each time."""
    random = np.random.default_rng(bars)
    notes, step = [], 35
    for beat in range(4 * bars):
        step = int(np.clip(step + random.choice([-2, -1, -1, 1, 1, 2]), 31, 40))
        last = 35 if beat == 4 * bars - 1 else step
        notes.append(Note(Fraction(beat), Fraction(1), Pitch("CDEFGAB"[last % 7], 0, last // 7)))
    return Theme(Line(tuple(notes)), MeterMap.steady("4/4"), Key.from_text("C"))


def reference_for(spans: int, chords: int) -> float:
    table, ahead = np.ones((chords, chords)), np.ones(chords)

    def reference() -> None:
        for _ in range(spans):
            (ahead[:, None] + table).argmin(axis=0)

    return timed(reference)


@pytest.mark.parametrize("idiom", ["common-practice", "modal", "romantic", "third-relations"])
def test_five_alternatives_of_a_theme_of_sixteen_bars(idiom: str) -> None:
    theme = harmony.open_theme(find_corpora("loom_hall", "pattern_drawer.abc"))
    found = harmony.harmonise(theme, idioms=(idiom,))
    chords = len(build_vocabulary(load_idiom(idiom), found.melody.key))
    own = timed(lambda: harmony.harmonise(theme, idioms=(idiom,)))
    least = reference_for(len(found.spans), chords)
    again = timed(lambda: closer(found, 2))
    print(
        f"\n16 bars, {idiom}, {len(found.spans)} chords of {chords}: {own:.3f} s,"
        f" {own / least:.0f} x one bare search; closer to one {again:.3f} s"
    )


@pytest.mark.parametrize("bars", [16, 40])
def test_a_chord_a_beat(bars: int, ledger: Ledger) -> None:
    theme = hymn(bars)
    found = harmony.harmonise(theme)
    own = timed(lambda: harmony.harmonise(theme))
    chords = len(build_vocabulary(load_idiom("common-practice"), found.melody.key))
    least = reference_for(len(found.spans), chords)
    ledger.enter(f"five_in_{bars}_bars", own, ratio=own / least)
    print(
        f"\n{bars} bars, {len(found.spans)} chords, common practice: {own:.3f} s,"
        f" {own / least:.0f} x one bare search"
    )
