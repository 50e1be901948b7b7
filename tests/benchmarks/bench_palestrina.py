"""How often Palestrina's own answer comes first among all canons of a leading voice.

Movements of his masses in which a voice answers another (kern files of the music21
corpus, listed in palestrina_canons.csv; the answers are found here by comparing the
voices). The list says which movements the weights of the score were set on, so that
the others tell what may be expected of music not seen.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.reading.opening import read
from harmony.reading.theme import score_to_theme
from harmony.themes.canon import find_canons
from tests.corpora.test_renaissance_canons import CORPUS, answer_of

pytestmark = [pytest.mark.benchmark, pytest.mark.timeout(3600)]
LIST = Path(__file__).with_name("palestrina_canons.csv")


def leading_voices(path: Path):
    score = read(path)
    voices = [score_to_theme(score, part=n) for n in range(1, len(score.parts) + 1)]
    for leader in voices:
        answers = {answer_of(leader, voice) for voice in voices if voice is not leader} - {None}
        if answers:
            yield leader, answers


@pytest.mark.parametrize("seen", ["yes", "no"])
def test_palestrinas_answers(seen: str) -> None:
    with LIST.open(encoding="utf-8") as file:
        names = [row["file"] for row in csv.DictReader(file) if row["weights_saw_it"] == seen]
    ranks = []
    for name in names:
        for leader, answers in leading_voices(CORPUS / name):
            try:
                found = find_canons(leader).canons
            except HarmonyError:
                continue  # longer than canons are looked for in
            plain = [c for c in found if (c.cell.motion, c.cell.stretch) == ("direct", 1)]
            ranks.append(
                min(
                    (c.rank_in_motion for c in plain if (c.cell.steps, c.cell.delay) in answers),
                    default=99,
                )
            )
    first, three = (sum(rank <= most for rank in ranks) for most in (1, 3))
    words = "the weights were set on" if seen == "yes" else "the weights never saw"
    print(f"\n{len(names)} movements {words}: of {len(ranks)} leading voices the answer is")
    print(f"first for {first}, among the first three for {three}")
