"""Common tones: a note that goes through all chords for as long as it can, then another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.vocabulary import Vocabulary

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

_CHANGE = 5.0  # what it costs to give a common tone up for another


def find_common_tones(
    vocabulary: Vocabulary, nodes: FloatArray, steps: Sequence[FloatArray]
) -> list[int] | None:
    """Give for each span the note its chord shares with its neighbours, above the tonic.

    Of all ways through, each with a note that its chords have, the cheapest where every
    change of the note has a price: Bellman's recursion over note and chord together.
    None where no way leads through.
    """
    has = np.where(vocabulary.members.T, 0.0, np.inf)
    ahead: FloatArray = nodes[0] + has
    back: list[tuple[IntArray, IntArray]] = []
    everyone = np.arange(len(vocabulary))
    for place, table in enumerate(steps, start=1):
        # A note given up leaves the chord before as it is; whose note it was is kept.
        anyone = ahead.argmin(axis=0)
        given_up = ahead[anyone, everyone] + _CHANGE
        moved = given_up < ahead
        ways = np.where(moved, given_up, ahead)[:, :, None] + table
        chord = ways.argmin(axis=1)
        note = np.where(
            np.take_along_axis(moved, chord, axis=1), anyone[chord], np.arange(12)[:, None]
        )
        ahead = ways.min(axis=1) + nodes[place] + has
        back.append((note, chord))
    note_now, choice = map(int, np.unravel_index(int(ahead.argmin()), ahead.shape))
    if not np.isfinite(ahead[note_now, choice]):
        return None
    notes = [note_now]
    for note_before, chord_before in reversed(back):
        note_now, choice = (
            int(note_before[note_now, choice]),
            int(chord_before[note_now, choice]),
        )
        notes.append(note_now)
    return notes[::-1]


def list_stretches(notes: Sequence[int]) -> list[tuple[int, int, int]]:
    """Each note with its first and its last span."""
    found = []
    for note, group in groupby(range(len(notes)), key=lambda place: notes[place]):
        places = [*group]
        found.append((note, places[0], places[-1]))
    return found
