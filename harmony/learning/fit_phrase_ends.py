"""Fit where phrases end to the fermatas of Bach's chorales, and write the table.

    python -m harmony.learning.fit_phrase_ends [FILE]

From the first note of a phrase on, each note that may be its last is rated by the
facts of `harmonising.phrase_ends`; the weights make the notes with fermatas likely
(a log-linear choice). Only pieces marked `fit` in learnt/chorale_keys.csv are read.
Weights are written in whole hundredths, so that the same music21 corpus gives the
same file, byte for byte.
"""

from __future__ import annotations

import argparse
import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from harmony.harmonising.phrase_ends import (
    BARS,
    TABLE,
    BeatTune,
    count_long,
    describe_end,
    describe_pair,
    describe_phrase,
)
from harmony.learning.chorale_harmony import VOICES, Sung, read_voice
from harmony.learning.fit_syntax import KEYS
from harmony.learning.softmax_fit import Selection, make_objective, minimise
from harmony.resources import find_data
from harmony.saving import save_text
from harmony.tables import read_rows

PENALTY, LEAST_OFTEN, STEPS = 1.0, 3, 80
SOURCE = "bach_chorales"


@dataclass(frozen=True, slots=True)
class Phrased:
    """A tune and the last notes of its phrases, by their places."""

    tune: BeatTune
    ends: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """The facts of every note that may end a phrase, and which one does."""

    facts: tuple[tuple[str, ...], ...]
    chosen: int


def read_phrased(names: Iterable[str]) -> tuple[Phrased, ...]:
    """Read chorales that move in quarters in bars of three or four."""
    from music21 import corpus

    found = []
    for name in names:
        score = corpus.parse(f"bach/{name}")
        part = next(p for p in score.parts if (p.partName or "").startswith(VOICES[0]))
        notes = read_voice(part)
        bars = [
            (float(m.offset), float(m.duration.quarterLength), float(m.barDuration.quarterLength))
            for m in part.getElementsByClass("Measure")
        ]
        whole = bars[1] if len(bars) > 1 and bars[0][1] < bars[0][2] else bars[0]
        usual = sorted(note.length for note in notes)[len(notes) // 2]
        if usual != 1 or whole[1] not in BARS:
            continue
        found.append(_phrase(notes, bars, int(whole[1])))
    return tuple(found)


def _phrase(notes: Sequence[Sung], bars: Sequence[tuple[float, float, float]], bar: int) -> Phrased:
    starts = np.array([start for start, _, _ in bars])
    first, length, full = bars[0]
    places = []
    for note in notes:
        number = int(np.searchsorted(starts, note.onset + 1e-6)) - 1
        skipped = full - length if number == 0 and first == 0 else 0.0
        places.append(note.onset - float(starts[number]) + skipped)
    tune = BeatTune(
        tuple(note.onset for note in notes), tuple(note.end for note in notes),
        tuple(note.midi for note in notes), tuple(places), bar,
    )  # fmt: skip
    marked = [place for place, note in enumerate(notes[:-1]) if note.has_fermata]
    return Phrased(tune, (*marked, len(notes) - 1))


def list_choices(pieces: Iterable[Phrased]) -> tuple[Choice, ...]:
    """List every phrase of the pieces as a choice of its last note."""
    choices = []
    for piece in pieces:
        tune, start, before = piece.tune, 0, None
        for end in piece.ends:
            open_ = [i for i in range(start, len(tune)) if tune.can_end(start, i)]
            facts = []
            for i in open_:
                here = describe_end(tune, i)
                here += describe_phrase(tune, start, i, count_long(tune, start, i))
                if before is not None:
                    beats = tune.ends[i] - tune.onsets[start]
                    here.append(describe_pair(tune.bar, is_equal=abs(before - beats) < 1e-6))
                facts.append(tuple(here))
            if end in open_ and len(open_) > 1:
                choices.append(Choice(tuple(facts), open_.index(end)))
            before, start = tune.ends[end] - tune.onsets[start], end + 1
    return tuple(choices)


def fit(choices: Sequence[Choice]) -> dict[str, int]:
    """Fit the weight of every fact met often enough, in hundredths."""
    met = Counter(fact for choice in choices for facts in choice.facts for fact in facts)
    names = sorted(fact for fact, often in met.items() if often >= LEAST_OFTEN)
    number = {fact: place for place, fact in enumerate(names)}
    lines = [facts for choice in choices for facts in choice.facts]
    slots = max(len(facts) for facts in lines)
    rows = np.full((slots, len(lines)), len(names), np.int32)
    for place, facts in enumerate(lines):
        for slot, fact in enumerate(facts):
            rows[slot, place] = number.get(fact, len(names))
    sizes = [len(choice.facts) for choice in choices]
    starts = np.concatenate([[0], np.cumsum(sizes)])
    chosen = starts[:-1] + [choice.chosen for choice in choices]
    selection = Selection(rows, ((0, len(names) + 1),) * slots, starts, chosen)
    penalties = np.full(len(names) + 1, PENALTY)
    penalties[-1] = 1e6  # a fact hardly ever met says nothing
    costs = minimise(make_objective(selection, penalties), np.zeros(len(names) + 1), steps=STEPS)
    return {fact: -round(float(costs[place]) * 100) for fact, place in number.items()}


def write_table(weights: dict[str, int]) -> str:
    """Give the table as CSV text."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["fact", "weight", "source"])
    writer.writerows([fact, weight, SOURCE] for fact, weight in weights.items() if weight)
    return text.getvalue()


def read_names(use: str) -> tuple[str, ...]:
    """The files of the chorales of one use, ``fit`` or ``settings``."""
    rows = read_rows(KEYS, lambda row: (row["bwv_file"], row["use"]), needs=("bwv_file", "use"))
    return tuple(name for name, which in rows if which == use)


def main(arguments: Sequence[str] | None = None) -> None:
    """Fit and write."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("file", nargs="?", type=Path, default=find_data() / TABLE)
    path = parser.parse_args(arguments).file
    text = write_table(fit(list_choices(read_phrased(read_names("fit")))))
    save_text(path, text, overwrite=True)
    print(f"{path}: {len(text.splitlines()) - 1} facts")


if __name__ == "__main__":
    main()
