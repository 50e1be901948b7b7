"""How long the whole grid of canons takes, against a plain numpy pass over as many cells.

The reference adds two arrays of bytes as large as all (delay, tick) planes of the
grid, once for each plane: the least that looking at every tick of every cell
can cost.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from harmony.pitch import Key, Line, MeterMap, Note, Pitch, Theme
from harmony.themes.canon import find_canons
from harmony.themes.stretto import find_strettos
from harmony.themes.survey import survey
from tests.benchmarks.ledger import Ledger
from tests.benchmarks.timing import timed


def theme_of(bars: int) -> Theme:
    """A theme in quavers and crotchets, 4/4, of so many bars; the same each time."""
    random = np.random.default_rng(bars)
    notes, onset, step = [], Fraction(0), 35
    while onset < 4 * bars:
        length = min(Fraction(int(random.choice([1, 1, 2, 2, 3])), 2), 4 * bars - onset)
        step = int(np.clip(step + random.choice([-2, -1, -1, 1, 1, 2]), 31, 40))
        notes.append(Note(onset, length, Pitch("CDEFGAB"[step % 7], 0, step // 7)))
        onset += length
    return Theme(Line(tuple(notes)), MeterMap.steady("4/4"), Key.from_text("C"))


@pytest.mark.parametrize("bars", [8, 16, 32])
def test_two_voice_grid(bars: int, ledger: Ledger) -> None:
    theme = theme_of(bars)
    found = survey(theme)
    ticks = bars * 16
    plane = np.zeros((len(found.delays), ticks), np.uint8)

    def reference() -> None:
        for _ in range(29 * 12 * 2):
            np.add(plane, plane)

    own, least = timed(lambda: find_canons(theme)), timed(reference)
    if bars == 16:
        ledger.enter("canon_grid", own, ratio=own / least)
    print(f"\n{bars} bars, {found.count} cells: {own:.3f} s, {own / least:.0f} x a numpy pass")


@pytest.mark.parametrize("voices", [3, 4])
def test_more_voices(voices: int, ledger: Ledger) -> None:
    theme = theme_of(16)
    own = timed(lambda: find_strettos(theme, voices))
    if voices == 4:
        ledger.enter("canon_four", own)
    print(f"\n{voices} voices, 16 bars: {own:.3f} s")
