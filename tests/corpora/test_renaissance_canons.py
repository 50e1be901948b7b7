"""Canons of Palestrina, Josquin and the fourteenth century (files of the music21 corpus).

The answers are found here by comparing the voices with each other; then the
leading voice alone is given to the search, which must put the answer's interval
and distance among the first three of direct motion.
"""

from __future__ import annotations

import re
import warnings
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.reading.opening import read, read_bytes
from harmony.reading.theme import score_to_theme
from harmony.themes.canon import find_canons

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import music21

CORPUS = Path(music21.__file__).parent / "corpus" / "palestrina"


def staff_notes(theme):
    return [(n.onset, n.duration, n.pitch.staff_step) for n in theme.line.sounding]


def answer_of(leader, follower, share=0.9):
    """Give (steps, delay) if nearly all of the follower is the leader moved, else None."""
    one, two = staff_notes(leader), staff_notes(follower)
    steps, delay = two[0][2] - one[0][2], two[0][0] - one[0][0]
    if delay <= 0:
        return None
    moved = {(onset - delay, length, step - steps) for onset, length, step in two}
    hits = sum(note in moved for note in one)
    return (steps, delay) if hits >= share * min(len(one), len(two)) else None


@pytest.mark.parametrize(
    "name", ["Agnus_II_13.krn", "Agnus_II_17_a.krn", "Benedictus_00.krn", "Agnus_II_65.krn"]
)
def test_the_answer_is_found_from_the_leading_voice(name: str) -> None:
    score = read(CORPUS / name)
    voices = [score_to_theme(score, part=n) for n in range(1, len(score.parts) + 1)]
    pairs = [
        (leader, answer_of(leader, follower))
        for leader in voices
        for follower in voices
        if leader is not follower and answer_of(leader, follower)
    ]
    assert pairs, "no voice of the movement answers another"
    leader = min((leader for leader, _ in pairs), key=lambda theme: theme.line.sounding[0].onset)
    answers = {answer for own, answer in pairs if own is leader}
    ranks = [
        canon.rank_in_motion
        for canon in find_canons(leader).canons
        if canon.cell.motion == "direct"
        and canon.cell.stretch == 1
        and (canon.cell.steps, canon.cell.delay) in answers
    ]
    assert ranks, f"none of {answers} is listed"
    assert min(ranks) <= 3
    assert all(isinstance(delay, Fraction) for _, delay in answers)


def test_josquins_contratenor_is_found_from_his_tenor() -> None:
    # Petite camusette (1545): of the five voices in the file the contratenor is the tenor
    # note for note; which, and how much later, is read off here
    path = CORPUS.parent / "josquin" / "petiteCamusette.abc"
    tunes = re.split(r"(?m)^(?=X:)", path.read_text(encoding="latin-1"))[1:]
    voices = [score_to_theme(read_bytes(tune.encode(), name="a voice.abc")) for tune in tunes]
    pairs = [
        (leader, found)
        for leader in voices
        for follower in voices
        if leader is not follower and (found := answer_of(leader, follower))
    ]
    ((tenor, answer),) = pairs
    assert answer == (0, 4)
    ranks = {
        (canon.cell.steps, canon.cell.delay): canon.rank_in_motion
        for canon in find_canons(tenor).canons
        if canon.cell.motion == "direct" and canon.cell.stretch == 1
    }
    assert ranks[answer] <= 3


@pytest.mark.parametrize(
    ("name", "among"),
    [
        ("PMFC_13_12-Gloria.xml", 1),
        ("PMFC_06_Giovanni-03-Chon_brachi_assai.xml", 1),  # a caccia of Giovanni da Cascia
    ],
)
def test_upper_voices_of_the_trecento_are_found_from_the_first(name: str, among: int) -> None:
    score = read(CORPUS.parent / "trecento" / name)
    leader, follower = (score_to_theme(score, part=number) for number in (1, 2))
    answer = answer_of(leader, follower, share=0.8)
    assert answer is not None
    assert answer[0] == 0
    ranks = {
        (canon.cell.steps, canon.cell.delay): canon.rank_in_motion
        for canon in find_canons(leader).canons
        if canon.cell.motion == "direct" and canon.cell.stretch == 1
    }
    assert ranks[answer] <= among
