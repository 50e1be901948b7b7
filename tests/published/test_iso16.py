"""Equal temperament on A4 = 440 Hz.

ISO 16:1975 (the pitch recalled from memory, so that row only warns), and
f = 440 * 2^((m - 69) / 12) for all 88 keys: tables/01b_tuning.csv.
"""

from __future__ import annotations

import pytest

from harmony.pitch.spelling import Pitch
from harmony.pitch.tuning import tempered_hz
from tests.published.rows import read_inputs, select_rows

ROWS = select_rows("01b_tuning", "equal-tempered frequency")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["inputs"])
def test_key(row: dict[str, str]) -> None:
    pitch = Pitch.from_text(read_inputs(row)["name"])
    assert pitch.midi == int(row["midi"])
    assert tempered_hz(pitch) == pytest.approx(float(row["expected"]), abs=0.000005)


def test_all_keys_of_a_piano() -> None:
    assert len(ROWS) == 88


def test_another_concert_pitch_moves_every_key_alike() -> None:
    for name in ("A0", "A4", "C8"):
        pitch = Pitch.from_text(name)
        assert tempered_hz(pitch, a4_hz=442.0) == pytest.approx(tempered_hz(pitch) * 442 / 440)
