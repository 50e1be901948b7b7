"""Ten themes for judging idioms: the demo's three and seven folk songs of the Essen collection."""

from __future__ import annotations

import re
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory

import harmony
from harmony.errors import HarmonyError
from harmony.pitch import Theme
from harmony.resources import find_corpora

DEMO = ("shuttle", "pattern_drawer", "lamps_out")
FILES = ("altdeu10.abc", "ballad10.abc", "kinder0.abc", "fink0.abc", "boehme10.abc", "erk10.abc")


def open_text(text: str) -> Theme:
    """Open one tune of an ABC collection."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "tune.abc"
        path.write_text(text, encoding="utf-8")
        return harmony.open_theme(path)


@cache
def ten_themes() -> tuple[tuple[str, Theme], ...]:
    """Name and theme; the folk songs (music21 corpus) have 6 to 24 bars."""
    found = [(name, harmony.open_theme(find_corpora("loom_hall", f"{name}.abc"))) for name in DEMO]
    spec = find_spec("music21")
    assert spec is not None
    assert spec.origin is not None
    folder = Path(spec.origin).parent / "corpus" / "essenFolksong"
    for name in FILES:
        text = (folder / name).read_text(encoding="utf-8", errors="replace")
        parts = [part for part in re.split(r"(?m)^(?=X:)", text) if part.startswith("X:")]
        taken = 0
        for number in range(1, len(parts), max(1, len(parts) // 6)):
            try:
                theme = open_text(parts[number])
            except HarmonyError:
                continue
            bars = len(theme.meters.bars_through(theme.line.sounding[-1].end))
            if 6 <= bars <= 24 and taken < 2 and len(found) < 10:
                found.append((f"{name} {number}", theme))
                taken += 1
    assert len(found) == 10
    return tuple(found)
