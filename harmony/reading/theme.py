"""Opening a theme: one part of a score file, or some bars of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.keyfinding import fits_a_scale
from harmony.pitch.line import Line
from harmony.pitch.meter import Meter, MeterMap
from harmony.pitch.theme import Theme
from harmony.reading.opening import read
from harmony.scoring.build import part_to_line
from harmony.scoring.score import Bar, Score

_BARS = re.compile(r"\s*(\d+)\s*(?:[-–]\s*(\d+))?\s*")


def open_theme(
    path: str | Path, *, part: str | int | None = None, bars: str | None = None
) -> Theme:
    """Open a theme from a score file (MusicXML, MIDI, ABC, kern).

    Parameters
    ----------
    path
        The file.
    part
        The part's name, or its number counted from 1; the first part otherwise.
        Of a part in several voices the first is taken, of chords the top note.
    bars
        ``"5-8"`` or ``"5"``, by the numbers printed in the score; all otherwise.

    Returns
    -------
    Theme
        In concert pitch. A fermata ends a phrase. ``source`` names the file,
        the part and the bars.

    Raises
    ------
    HarmonyError
        If the file, the part or the bars cannot be found, or hold no note.
    """
    return score_to_theme(read(path), part=part, bars=bars)


def score_to_theme(
    score: Score, *, part: str | int | None = None, bars: str | None = None
) -> Theme:
    """Take a theme out of a score (see :func:`open_theme`)."""
    index = 0 if part is None else score.part_index(str(part))
    line = part_to_line(score.parts[index])
    meters = score.meters
    start = Fraction(0)
    if bars is not None:
        chosen = _find_bars(score, bars)
        start = chosen[0].onset
        line = line.between(start, chosen[-1].end).moved(-start)
        meters = _cut_meters(score.meters, chosen)
    else:
        line = _trimmed(line)
    if not line.sounding:
        where = f"bars {bars} of " if bars else ""
        name = score.parts[index].name
        part_named = f"the part {name!r}" if name else f"part {index + 1}"
        raise HarmonyError(
            f"There are no notes in {where}{part_named}; another part or other bars are accepted."
        )
    name = score.parts[index].name or str(index + 1)
    described = f"{score.source}, {name}" + (f", bars {bars}" if bars else "")
    tempo = [t.quarters_per_minute for t in score.tempi if t.onset <= start]
    return Theme(
        line=line,
        meters=meters,
        key=_key_said(score.key_at(start), line),
        phrase_ends=_phrase_ends(line),
        source=described,
        title=score.title,
        quarters_per_minute=tempo[-1] if tempo else None,
    )


def _key_said(key: Key | None, line: Line) -> Key | None:
    """Give the key a signature says; one of no sharps or flats says none of a chromatic line."""
    is_bare = key is not None and key.fifths == 0 and key.mode == "major"
    return None if is_bare and not fits_a_scale(line.sounding) else key


def tell_what_is_left(score: Score, *, part: str | int | None = None) -> tuple[str, ...]:
    """Say what a theme taken out of a score leaves behind, one sentence for each thing.

    What the file had and the score has not (microtones, rounded lengths), then chords
    and further voices of the part.
    """
    chosen = score.parts[0 if part is None else score.part_index(str(part))]
    # A tune has no layout to lose.
    told = [loss for loss in score.losses if not loss.startswith("Not kept: page layout")]
    staff = chosen.staves[0]
    if staff.voices:
        chords = [e for e in staff.voice(staff.voices[0]) if len(e.pitches) > 1]
        if chords:
            bar = score.meters.locate(chords[0].onset)[0]
            told.append(
                f"The part {chosen.name!r} has chords, the first in bar {bar}; their top notes are"
                " the tune."
            )
    others = len(staff.voices) - 1 + sum(len(one.voices) for one in chosen.staves[1:])
    if others > 0:
        told.append(
            f"The part {chosen.name!r} has {others + 1} voices; the first is the tune and the"
            " others are left out."
        )
    return tuple(told)


def _trimmed(line: Line) -> Line:
    """Drop the rests after the last note; those before the first keep its place."""
    notes = list(line.notes)
    while notes and notes[-1].is_rest:
        notes.pop()
    return Line(tuple(notes))


def _phrase_ends(line: Line) -> tuple[Fraction, ...]:
    ends = {note.end for note in line if "fermata" in note.marks and note.duration}
    return tuple(sorted(ends))


def _find_bars(score: Score, text: str) -> Sequence[Bar]:
    """Find the bars that the composer names, by their printed numbers."""
    match = _BARS.fullmatch(text)
    all_bars = score.all_bars
    if match is None:
        raise HarmonyError(f"{text!r} is not a stretch of bars; write it as 5-8 or 5.")
    first, last = match[1], match[2] or match[1]
    labels = [bar.label or str(bar.number) for bar in all_bars]
    span = f"the score has bars {labels[0]} to {labels[-1]}"
    for label in (first, last):
        if label not in labels:
            raise HarmonyError(f"There is no bar {label}; {span}.", where=f"bar {label}")
    start = labels.index(first)
    stop = len(labels) - 1 - labels[::-1].index(last)
    if stop < start:
        raise HarmonyError(f"Bars {text} run backwards; {span}.", where=f"bar {first}")
    return all_bars[start : stop + 1]


def _cut_meters(meters: MeterMap, bars: Sequence[Bar]) -> MeterMap:
    """Give the meters of a stretch of bars, counted from 1 (a pickup stays one)."""
    has_pickup = bars[0].number == 0 and len(bars) > 1
    counted = bars[1:] if has_pickup else bars
    changes: list[tuple[int, Meter]] = []
    for number, bar in enumerate(counted, start=1):
        meter = meters.meter_at(bar.number)
        if not changes or changes[-1][1] != meter:
            changes.append((number, meter))
    return MeterMap(tuple(changes), bars[0].length if has_pickup else Fraction(0))
