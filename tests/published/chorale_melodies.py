"""The 40 chorale melodies kept for settings, as themes, and the agreement with Bach.

Melodies and the chord of each beat are those of tables/chorale_melodies_dev.json
(music21 corpus; chords by the rule in harmony/learning/chorale_harmony.py).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from harmony.pitch import Key, Line, Meter, MeterMap, Note, PitchName, Theme

TABLE = Path(__file__).parent / "tables" / "chorale_melodies_dev.json"


def read_cases() -> list[dict[str, Any]]:
    cases: list[dict[str, Any]] = json.loads(TABLE.read_text(encoding="utf-8"))
    return cases


def case_to_theme(case: dict[str, Any], *, fermatas: bool = True) -> Theme:
    notes = []
    for onset, length, midi, name, fermata in case["melody"]:
        spelled = PitchName.from_text(name)
        notes.append(
            Note(
                Fraction(onset).limit_denominator(24), Fraction(length).limit_denominator(24),
                spelled.at_midi(midi), None, ("fermata",) if fermata and fermatas else (),
            )
        )  # fmt: skip
    first = case["measures"][0]
    pickup = Fraction(first[1]) if first[1] < first[3] else Fraction(0)
    changes: list[tuple[int, Meter]] = []
    inner = case["measures"][1:] if pickup else case["measures"]
    for bar, (_, length, _, full) in enumerate(inner, start=1):
        is_last = bar == len(inner)
        meter = Meter((int(full if is_last else length),), 4)
        if not changes or changes[-1][1] != meter:
            changes.append((bar, meter))
    ends = tuple(sorted({note.end for note in notes if note.marks}))
    key = Key(PitchName.from_fifths(case["sharps"]), "major")
    return Theme(Line(tuple(notes)), MeterMap(tuple(changes), pickup), key, ends)


Beat = tuple[int, str, int]


def chords_by_beat(case: dict[str, Any], chords: Sequence[dict[str, Any]]) -> list[Beat]:
    """The chord in force at each beat of a case."""
    found = []
    for beat, _ in case["beats"]:
        inside = [c for c in chords if c["offset"] <= beat] or [chords[0]]
        found.append((inside[-1]["root"], inside[-1]["quality"], inside[-1]["bass"]))
    return found


def agreement(cases: Sequence[dict[str, Any]], found: Sequence[list[Beat]]) -> dict[str, float]:
    """The shares of beats with Bach's root, bass, and root with quality, and roots at fermatas."""
    root = bass = both = beats = at_end = ends = 0
    for case, chords in zip(cases, found, strict=True):
        for place, (true, mine) in enumerate(zip(case["truth"], chords, strict=True)):
            if true is None:
                continue
            beats += 1
            root += true[0] == mine[0]
            bass += true[2] == mine[2]
            both += true[0] == mine[0] and true[1] == mine[1]
            if place in case["fermata_beats"]:
                ends += 1
                at_end += true[0] == mine[0]
    return {
        "root": root / beats, "bass": bass / beats, "root_quality": both / beats,
        "root_at_fermata": at_end / max(1, ends),
    }  # fmt: skip
