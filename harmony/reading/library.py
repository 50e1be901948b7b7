"""ABC and kern by way of music21.

music21 parses both well; its score then goes through its MusicXML export into
our own reader, so that there is one road into the score model.
"""

from __future__ import annotations

import re
import warnings
from dataclasses import replace
from typing import Any

from harmony.errors import HarmonyError
from harmony.reading.musicxml import read_musicxml
from harmony.scoring.score import Score

_LARGEST_BYTES = 4_000_000
_TUNE = re.compile(r"^X:", re.MULTILINE)
_FORMATS = {"abc": "ABC", "humdrum": "kern"}


def read_with_library(data: bytes, kind: str, *, name: str) -> Score:
    """Read ABC (``kind`` "abc") or kern ("humdrum").

    Raises
    ------
    HarmonyError
        If music21 cannot make a score of it.
    """
    if len(data) > _LARGEST_BYTES:
        raise HarmonyError(
            f"{name} is longer than {_LARGEST_BYTES // 1_000_000} MB, far more than a score in "
            f"{_FORMATS[kind]} has.",
            where=name,
        )
    text, tunes = _decode(data), 1
    if kind == "abc":
        text, tunes = _first_tune(text)
    from music21 import converter, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = converter.parseData(text, format=kind)
            if isinstance(found, stream.Opus):
                found = found.scores[0]
            _count_bars_from_one(found)
            exported: bytes = GeneralObjectExporter(found).parse()
    # music21 raises whatever it met; to the composer it is one thing.
    except Exception as fault:
        raise HarmonyError(
            f"{name} cannot be read as {_FORMATS[kind]} ({_reason(fault)}).", where=name
        ) from fault
    score = read_musicxml(exported, name=name)
    if tunes > 1:
        told = f"The file holds {tunes} tunes; the first is read."
        score = replace(score, losses=(told, *score.losses))
    return score


def _first_tune(text: str) -> tuple[str, int]:
    """Give an ABC file up to its second tune, and how many tunes it holds."""
    starts = [match.start() for match in _TUNE.finditer(text)]
    return (text[: starts[1]], len(starts)) if len(starts) > 1 else (text, 1)


def _count_bars_from_one(score: Any) -> None:
    """Call the first bar 1 where music21 calls a whole bar 0, its number for a pickup."""
    for part in score.parts:
        measures = list(part.getElementsByClass("Measure"))
        if not measures or measures[0].number != 0:
            continue
        if measures[0].duration.quarterLength == measures[0].barDuration.quarterLength:
            for measure in measures:
                measure.number += 1


def _decode(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _reason(fault: Exception) -> str:
    words = " ".join(str(fault).split())[:120].rstrip(".")
    return words or type(fault).__name__
