"""ABC and kern by way of music21.

music21 parses both well; its score then goes through its MusicXML export into
our own reader, so that there is one road into the score model.
"""

from __future__ import annotations

import re
import warnings
from contextlib import redirect_stderr
from dataclasses import replace
from io import StringIO
from typing import Any

from harmony.errors import HarmonyError
from harmony.reading.abc import check_abc
from harmony.reading.kern import check_kern
from harmony.reading.musicxml import read_musicxml
from harmony.scoring.score import Score

_LARGEST_BYTES = 4_000_000
_TUNE = re.compile(r"^X:", re.MULTILINE)
#: Q:1/4 = 50; music21 takes a blank before the sign for a part of the note's length.
_TEMPO = re.compile(r"^(Q:[^\n=]*?)[ \t]*=[ \t]*", re.MULTILINE)
_SAID = re.compile(r"^\w[\w.]*: WARNING:(.*)$", re.MULTILINE)
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
        text = _TEMPO.sub(r"\1=", text)
        check_abc(text, name=name)
    else:
        check_kern(text, name=name)
    from music21 import converter, stream

    try:
        with warnings.catch_warnings(), redirect_stderr(StringIO()) as told:
            warnings.simplefilter("ignore")
            found = converter.parseData(text, format=kind)
            if isinstance(found, stream.Opus):
                found = found.scores[0]
            _count_bars_from_one(found)
            exported = _export(found)
    # music21 raises whatever it met; to the composer it is one thing.
    except Exception as fault:
        raise HarmonyError(
            f"{name} cannot be read as {_FORMATS[kind]} ({_reason(fault)}); a whole file, or the"
            " score exported as MusicXML, is accepted.",
            where=name,
        ) from fault
    score = _without_made_up_names(read_musicxml(exported, name=name), found.metadata)
    losses = [f"The file holds {tunes} tunes; the first is read."] if tunes > 1 else []
    losses += _losses_told(told.getvalue())
    return replace(score, losses=(*losses, *score.losses)) if losses else score


def _without_made_up_names(score: Score, told: Any) -> Score:
    """Take away the title and the composer that music21 makes up where the file says none."""
    title = score.title if told is not None and told.bestTitle else ""
    composer = score.composer if told is not None and told.composer else ""
    return replace(score, title=title, composer=composer)


def _losses_told(said: str) -> list[str]:
    """Give what music21 says on the side that it left out or guessed."""
    found = dict.fromkeys(match[1].strip().rstrip(".") for match in _SAID.finditer(said))
    return [f"Not read as it stands: {' '.join(one.split())}." for one in found]


def _export(found: Any) -> bytes:
    """Write music21's score as MusicXML, as it stands wherever that can be written.

    Its "notation" would fill a short bar with rests, such as the last before a
    repeat that takes up the pickup, and takes more time than all the rest.
    """
    from music21.musicxml.m21ToXml import GeneralObjectExporter, MusicXMLExportException

    exporter = GeneralObjectExporter(found)
    exporter.makeNotation = False
    try:
        written: bytes = exporter.parse()
    except MusicXMLExportException:
        # No bars, or a length that no single note has: music21 must make them first.
        written = GeneralObjectExporter(found).parse()
    return written


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
