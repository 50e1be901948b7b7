"""What others wrote beside what is found: figures of agreement, not of time.

The measures and tables are those of `tests/published/`, whose tests hold what has been
reached; here it stands beside what was promised.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, groupby, pairwise

import numpy as np
import pytest

import harmony
from harmony.pitch import Pitch
from tests.benchmarks.ledger import Ledger, write_number
from tests.published.chorale_judge import (
    BREAK,
    VOICES,
    Cost,
    Voicing,
    judge,
    list_voicings,
)
from tests.published.rows import read_table
from tests.published.test_bowling2018 import correlate_roughness
from tests.published.test_chorale_chords import count_read
from tests.published.test_harrison2020 import learnt, plain_distance
from tests.published.test_rimskykorsakov1885 import EXAMPLES, share_inside

SEARCHED = 12  # of the 28 chorales, searched whole

pytestmark = pytest.mark.timeout(900)


def test_dyads(ledger: Ledger) -> None:
    ledger.enter("dyads", correlate_roughness(16), note="16 partials")


def test_chords_read(ledger: Ledger) -> None:
    labels, roots, basses = count_read()
    ledger.enter("chorale_roots_read", roots / labels)
    ledger.enter("chorale_basses_read", basses / labels)
    ledger.enter("labels", share_inside())


def test_next_voicings(ledger: Ledger) -> None:
    ours, plain = judge(learnt), judge(plain_distance)
    ledger.enter("chorale_bits", ours.bits, ratio=ours.bits / plain.bits)
    ledger.enter("chorale_found", ours.share_found, ratio=ours.share_found / plain.share_found)
    faults = ours.share_with_consecutives, plain.share_with_consecutives
    ledger.enter("chorale_consecutives", faults[0], ratio=faults[0] / faults[1])


def test_whole_chorales(ledger: Ledger) -> None:
    ours, plain = share_of_path(learnt), share_of_path(plain_distance)
    ledger.enter("chorale_sequences", ours, ratio=ours / plain)


def share_of_path(cost: Cost) -> float:
    """The share of slices that are Bach's in the cheapest way through each passage."""
    shares = [is_same for run, sharps in passages() for is_same in follow(run, sharps, cost)]
    return sum(shares) / len(shares)


def passages() -> Iterator[tuple[list[Voicing], int]]:
    """The unbroken passages of the first chorales, each with its signature's sharps."""
    pieces = groupby(read_table("chorale_slices"), key=lambda row: row["piece"])
    for _, (_, group) in zip(range(SEARCHED), pieces, strict=False):
        runs: list[list[Voicing]] = []
        for row in group:
            if int(row["flags"]) & BREAK or not runs:
                runs.append([])
            runs[-1].append(tuple(int(row[voice]) for voice in VOICES))
            sharps = int(row["key_sharps"])
        yield from ((run, sharps) for run in runs if len(run) > 1)


def follow(run: list[Voicing], sharps: int, cost: Cost) -> list[bool]:
    """Search from Bach's first voicing on; for each later slice, whether it is his."""
    before, ahead = [run[0]], np.zeros(1)
    layers, ways = [], []
    for written in run[1:]:
        chord = frozenset(pitch % 12 for pitch in written)
        listed = list(list_voicings(chord, written[0] % 12))
        listed += [written] if written not in listed else []
        open_to = np.array(listed)
        table = np.stack([cost(np.array(voicing), open_to, sharps) for voicing in before]) * 1.0
        table[[(voicing == open_to).all(axis=1) for voicing in np.array(before)]] = np.inf
        total = ahead[:, None] + table
        layers.append(listed)
        ways.append(total.argmin(axis=0))
        before, ahead = listed, total.min(axis=0)
    place, found = int(ahead.argmin()), []
    for listed, way, written in zip(layers[::-1], ways[::-1], run[:0:-1], strict=True):
        found.append(listed[place] == written)
        place = int(way[place])
    return found


def test_printed_examples_voiced(ledger: Ledger) -> None:
    """Motion in semitones, voice by voice in order of pitch, each example from cold."""
    his, ours, faults, count = 0, Counter[str](), Counter[str](), 0
    for _, group in groupby(EXAMPLES, key=lambda row: row["example"]):
        rows = list(group)
        his += least_motion([midi_of(row["expected"].split()) for row in rows])
        text = " | ".join(f"{row['key']}: {row['figure']}" for row in rows)
        for preset in ("strings", "chorale"):
            answer = harmony.voice(text, "SATB choir", preset=preset).to_json()
            slots = answer["alternatives"][0]["slots"]
            voiced = [midi_of(slot["pitches"][::-1]) for slot in slots]
            ours[preset] += least_motion(voiced)
            faults[preset] += consecutives(voiced)
        count += 1
    assert count == 37
    note = f"as strings; as a chorale {write_number(ours['chorale'] / his)}"
    ledger.enter("rimsky_motion", ours["strings"] / his, note=note)
    ledger.enter("rimsky_consecutives", max(faults.values()))


def midi_of(names: list[str]) -> list[int]:
    return [Pitch.from_text(name).midi for name in names]


def least_motion(chords: list[list[int]]) -> int:
    """The least semitones four voices can move; the table tells two voices in unison as one."""
    ahead = {tuple(voicing): 0 for voicing in in_four_voices(chords[0])}
    for chord in chords[1:]:
        ahead = {
            voicing: min(
                cost + sum(abs(b - a) for a, b in zip(before, voicing, strict=True))
                for before, cost in ahead.items()
            )
            for voicing in in_four_voices(chord)
        }
    return min(ahead.values())


def in_four_voices(chord: list[int]) -> list[Voicing]:
    """A chord of four pitches as it is, of three with each of them doubled."""
    if len(chord) == len(VOICES):
        return [tuple(sorted(chord))]
    assert len(chord) == len(VOICES) - 1
    return [tuple(sorted([*chord, doubled])) for doubled in chord]


def consecutives(voicings: list[list[int]]) -> int:
    """Pairs of voices that go in similar motion from a fifth or octave to the same."""
    return sum(
        (b[j] - b[i]) % 12 == (a[j] - a[i]) % 12 in (0, 7) and (b[i] - a[i]) * (b[j] - a[j]) > 0
        for a, b in pairwise(voicings)
        for i, j in combinations(range(len(a)), 2)
    )
