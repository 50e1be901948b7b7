"""Every score of the music21 corpus opens, or is refused in one sentence."""

from __future__ import annotations

import random
from importlib.util import find_spec
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.reading.opening import ENDINGS, read

#: 200 files: kern and ABC go through music21, a second each, so fewer of them.
SAMPLE = {".mxl": 110, ".xml": 25, ".abc": 45, ".krn": 20}


def corpus_files() -> list[Path]:
    found = find_spec("music21")
    assert found is not None
    assert found.origin is not None
    folder = Path(found.origin).parent / "corpus"
    return sorted(path for path in folder.rglob("*") if path.suffix in ENDINGS)


def refusals(paths: list[Path]) -> dict[str, str]:
    """Open each file; anything but a HarmonyError goes through and fails the test."""
    refused = {}
    for path in paths:
        try:
            score = read(path)
        except HarmonyError as fault:
            assert "\n" not in fault.message
            refused[path.name] = fault.message
        else:
            assert score.end > 0
    return refused


@pytest.mark.slow
def test_a_sample_of_the_corpus_opens() -> None:
    files = corpus_files()
    chance = random.Random(21)
    sample = []
    for ending, count in SAMPLE.items():
        sample += chance.sample([path for path in files if path.suffix == ending], count)
    assert len(sample) == 200
    assert refusals(sample) == {}


@pytest.mark.sweep
@pytest.mark.timeout(7200)
def test_the_whole_corpus_opens_without_a_traceback() -> None:
    files = corpus_files()
    assert len(files) > 3000
    refused = refusals(files)
    print(refused)
    assert len(refused) <= len(files) // 200
