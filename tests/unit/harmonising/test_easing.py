"""Rules let go under a tune that leaves no voicing by all of them: told with bar and voices."""

from __future__ import annotations

import re

import harmony
from harmony.harmonising.carrying import voice_under_melody
from harmony.harmonising.easing import find_let_go, say_let_go
from harmony.pitch import Line, MeterMap, Note, Pitch, Theme
from harmony.resources import find_corpora
from harmony.units import as_quarters


def tune(*pitches: str) -> Theme:
    notes = [
        Note(as_quarters(4 * number), as_quarters(4), Pitch.from_text(text))
        for number, text in enumerate(pitches)
    ]
    return Theme(Line(tuple(notes)), MeterMap.steady("4/4"))


def test_nothing_is_told_where_every_rule_holds() -> None:
    one = harmony.harmonise(tune("E5", "D5", "C5"), key="C", count=1).alternative(1)
    voiced = voice_under_melody(one, "SATB choir")
    assert voiced.problem.rules == voiced.problem.preset.rules
    assert say_let_go(voiced.problem, voiced.alternatives[0]) == ""


def test_what_is_told_stands_in_the_voices_at_that_place() -> None:
    theme = harmony.open_theme(find_corpora("loom_hall", "night_shift.abc"))
    one = harmony.harmonise(theme, idioms=("extended",), count=1).alternative(1)
    voiced = voice_under_melody(one, "SATB choir")
    assert voiced.problem.rules != voiced.problem.preset.rules
    realised = voiced.alternatives[0]
    rows = {
        slot.place: row for slot, row in zip(realised.progression, realised.pitches, strict=True)
    }
    names = [voice.name for voice in realised.ensemble.voices]
    found = find_let_go(voiced.problem, realised)
    kinds = set()
    for one_place in found:
        row = rows[one_place.place]
        apart = re.fullmatch(r"(\w+) and (\w+) lie (\d+) semitones apart", one_place.words)
        missing = re.fullmatch(r"no voice has (\S+).* of \S+", one_place.words)
        if apart:
            upper, lower = row[names.index(apart[1])], row[names.index(apart[2])]
            assert upper.midi - lower.midi == int(apart[3])
            kinds.add("apart")
        elif missing:
            assert missing[1] not in {str(pitch.name) for pitch in row}
            kinds.add("missing")
    assert kinds == {"apart", "missing"}
    said = say_let_go(voiced.problem, realised)
    assert f"in {found[0].place} {found[0].words}" in said
    assert said.endswith(f"so it is in {len(found) - 4} more places.")
