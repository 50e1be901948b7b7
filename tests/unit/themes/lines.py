"""Themes for tests, from short texts and from the published note table."""

from __future__ import annotations

import csv
import re
from fractions import Fraction
from pathlib import Path

from harmony.pitch import Key, Line, MeterMap, Note, Pitch, Theme

TABLES = Path(__file__).parents[2] / "published" / "tables"

#: The demo's first theme, note by note: pitch and length in eighths.
SHUTTLE = (
    "A4/1 A4/1 D5/1 C5/1 D5/3 C5/1 B4/3 D5/1 E5/1 E5/1 B4/1 A4/1 "
    "G4/1 G4/1 C5/1 B4/1 C5/3 B4/1 C5/3 C5/1 A4/1 G4/1 A4/1 B4/1 "
    "A4/1 A4/1 D5/1 C5/1 D5/3 C5/1 B4/3 D5/1 E5/1 E5/1 B4/1 A4/1 "
    "G4/1 A4/1 C5/1 B4/1 C5/3 B4/1 A4/3 C5/1 D5/4"
)


def theme_from_text(text: str, *, key: str = "C", meter: str = "4/4", unit: str = "1") -> Theme:
    """Build a theme from ``pitch/length`` words, lengths in ``unit`` quarters."""
    notes, onset = [], Fraction(0)
    for word in text.split():
        name, _, length = word.partition("/")
        duration = Fraction(length or 1) * Fraction(unit)
        notes.append(Note(onset, duration, None if name == "r" else Pitch.from_text(name)))
        onset += duration
    return Theme(Line(tuple(notes)), MeterMap.steady(meter), Key.from_text(key))


def shuttle() -> Theme:
    return theme_from_text(SHUTTLE, key="D dorian", unit="1/2")


def theme_from_table(work: str, voice: str) -> Theme:
    """Build a theme from the canon table (09a); its sources stand in its rows."""
    with (TABLES / "09a_canon_notes.csv").open(encoding="utf-8") as file:
        rows = [r for r in csv.DictReader(file) if (r["work"], r["voice"]) == (work, voice)]
    found = sorted(
        (Fraction(r["onset_quarters"]).limit_denominator(48),
         Fraction(r["duration_quarters"]).limit_denominator(48), r["pitch"])
        for r in rows
    )  # fmt: skip
    notes = []
    for (onset, duration, pitch), after in zip(found, [*found[1:], None], strict=True):
        length = min(duration, after[0] - onset) if after else duration
        notes.append(Note(onset, length, Pitch.from_text(pitch)))
    meter = re.match(r"\d+/\d+", rows[0]["meter"])
    return Theme(
        Line(tuple(notes)), MeterMap.steady(meter[0] if meter else "4/4"),
        Key.from_text(rows[0]["key"]),
    )  # fmt: skip


def spell(theme: Theme) -> str:
    """Write a theme's sounding notes as one line of pitches."""
    return " ".join(str(note.pitch) for note in theme.line.sounding)


def lengths(theme: Theme) -> list[Fraction]:
    return [note.duration for note in theme.line.sounding]
