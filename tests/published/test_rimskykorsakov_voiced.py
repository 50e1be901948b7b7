"""The 37 printed examples of Rimsky-Korsakov voiced anew, against his own motion.

N. Rimsky-Korsakov, Practical Manual of Harmony (1885); tables/10d_textbook_realisations.csv
(the encoding of the open dataset When in Rome). Motion is in semitones, voice by voice in
order of pitch, at the same number of voices.
"""

from __future__ import annotations

from itertools import groupby

import pytest

import harmony
from tests.benchmarks.bench_agreement import consecutives, least_motion, midi_of
from tests.published.test_rimskykorsakov1885 import EXAMPLES


@pytest.mark.parametrize("preset", ["chorale", "strings"])
def test_no_more_motion_than_his_and_no_consecutives(preset: str) -> None:
    examples = [[*rows] for _, rows in groupby(EXAMPLES, key=lambda row: row["example"])]
    his = ours = faults = 0
    for rows in examples:
        text = " | ".join(f"{row['key']}: {row['figure']}" for row in rows)
        found = harmony.voice(text, "SATB choir", preset=preset).alternatives[0]
        assert found.outcome.status == "optimal"
        voiced = [midi_of([str(pitch) for pitch in reversed(chord)]) for chord in found.pitches]
        his += least_motion([midi_of(row["expected"].split()) for row in rows])
        ours += least_motion(voiced)
        faults += consecutives(voiced)
    assert len(examples) == 37
    assert faults == 0
    assert ours <= his
