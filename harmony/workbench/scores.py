"""The scores that a desk can open: those in the sketchbook, then the themes of the demo."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from harmony.errors import HarmonyError
from harmony.pitch import Theme
from harmony.reading.opening import ENDINGS, read
from harmony.reading.theme import score_to_theme
from harmony.resources import find_corpora
from harmony.scoring import Score
from harmony.workbench.folder import find_folder

DEMO = "loom_hall"


def list_scores(folder: Path) -> dict[str, Path]:
    """Give the scores in a folder, by name."""
    if not folder.is_dir():
        return {}
    return {
        path.name: path
        for path in sorted(folder.iterdir())
        if path.suffix.lower() in ENDINGS and not path.name.startswith(".")
    }


def list_themes() -> dict[str, Path]:
    """Give the themes that can be chosen, by name: the sketchbook's scores, then the demo's."""
    found = list_scores(find_folder())
    for path in sorted(find_corpora(DEMO).glob("*.abc"), reverse=True):
        found.setdefault(path.stem.replace("_", " ").capitalize(), path)
    return found


def open_file(path: Path) -> Score:
    """Open a score; one that has not changed since is not read again.

    Raises
    ------
    HarmonyError
        If it is not there any more or cannot be read.
    """
    return _read(path, _time_of(path))


def open_score(name: str) -> Score:
    """Open the score of a theme by its name among :func:`list_themes`."""
    return open_file(_find(name))


def open_source(name: str, part: str = "", bars: str = "") -> Theme:
    """Open a theme by its name among :func:`list_themes`: a part, and bars of it."""
    path = _find(name)
    return _take(path, _time_of(path), part, bars.strip())


def when_changed(name: str) -> float:
    """Give when a theme's file was last changed, 0 where it is gone."""
    path = list_themes().get(name)
    return 0.0 if path is None else _time_of(path)


def name_parts(score: Score) -> list[str]:
    """Name the parts of a score as they can be chosen: ``2: Viola``."""
    return [f"{n}: {part.name or 'without a name'}" for n, part in enumerate(score.parts, start=1)]


def _find(name: str) -> Path:
    themes = list_themes()
    if name not in themes:
        raise HarmonyError(f"{name!r} is not in the sketchbook any more; choose another theme.")
    return themes[name]


def _time_of(path: Path) -> float:
    return path.stat().st_mtime if path.exists() else 0.0


@lru_cache(maxsize=8)
def _read(path: Path, changed: float) -> Score:  # noqa: ARG001 - a changed file is another one
    return read(path)


@lru_cache(maxsize=16)
def _take(path: Path, changed: float, part: str, bars: str) -> Theme:
    return score_to_theme(_read(path, changed), part=part or None, bars=bars or None)
