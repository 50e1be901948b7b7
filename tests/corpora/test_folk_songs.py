"""Folk songs of the Essen collection (music21 corpus) harmonised in every idiom."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path

import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.idiom import IDIOMS

#: Some tunes of each of these files, in several meters and modes.
FILES = ("altdeu10.abc", "ballad10.abc", "kinder0.abc", "fink0.abc", "boehme10.abc", "erk10.abc")
OWN = "own: C Dm Em F G Am Bb D E A B Eb Ab Cm Gm Fm F# C# Bbm"


def tunes() -> list[tuple[str, str]]:
    found = find_spec("music21")
    assert found is not None
    assert found.origin is not None
    folder = Path(found.origin).parent / "corpus" / "essenFolksong"
    names = [name for name in FILES if (folder / name).exists()]
    names += [p.name for p in sorted(folder.glob("*.abc")) if p.name not in names]
    chosen = []
    for name in names[:6]:
        text = (folder / name).read_text(encoding="utf-8", errors="replace")
        parts = [part for part in re.split(r"(?m)^(?=X:)", text) if part.startswith("X:")]
        step = max(1, len(parts) // 5)
        chosen += [(f"{name} {n}", parts[n]) for n in range(0, len(parts), step)][:5]
    return chosen


@pytest.mark.slow
def test_folk_songs_in_every_idiom(tmp_path):
    sung = 0
    meters, keys = set(), set()
    for name, text in tunes():
        path = tmp_path / f"{name.replace(' ', '_')}.abc"
        path.write_text(text, encoding="utf-8")
        try:
            theme = harmony.open_theme(path)
        except HarmonyError:
            continue  # a tune the ABC reader refuses in words
        sung += 1
        meters.add(str(theme.meters.meter_at(1)))
        for idiom in IDIOMS:
            found = harmony.harmonise(theme, idioms=(OWN if idiom == "own" else idiom,), count=3)
            keys.add(found.melody.key.mode)
            for one in found.alternatives:
                assert one.progression.slots[0].onset == found.melody.notes[0].onset, (name, idiom)
                assert one.progression.end == found.melody.end, (name, idiom)
                assert all(slot.chord is not None for slot in one.progression)
    assert sung >= 20
    assert len(meters) >= 3
    assert len(keys) >= 2
