"""What a theme can become: the public functions ``vary`` and ``canon``."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from harmony.chords import Progression
from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.pitch import Theme
from harmony.scoring.build import theme_to_score
from harmony.showing import Shown
from harmony.themes.canon import Canon, find_canons
from harmony.themes.counterpoint import JUDGES, Judge
from harmony.themes.degrees import tell_key
from harmony.themes.operations import vary_once
from harmony.themes.score import canon_to_score, stretto_to_score
from harmony.themes.stretto import Stretto, find_strettos
from harmony.themes.survey import EIGHTH
from harmony.themes.under import Under
from harmony.units import quarters_to_json

#: How far apart the distances of canons can be tried, in quarters.
FINEST_SPACING, WIDEST_SPACING = Fraction(1, 16), Fraction(16)
_FINEST_SHARE = 96  # of a quarter: all notes and distances are counted in one unit


@dataclass(frozen=True, slots=True)
class Variation(Shown):
    """A transformed theme that remembers where it came from.

    ``notices`` say which key it was read in, where none was given.
    """

    theme: Theme
    notices: tuple[str, ...] = ()

    @property
    def derived(self) -> tuple[str, ...]:
        """What was done, in order."""
        return self.theme.parent[1:]

    def to_json(self) -> dict[str, Any]:
        """Give what ``harmony vary --json`` prints: sounding notes and the operations."""
        return {"notes": self.to_rows(), "derived": list(self.derived)}

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:  # noqa: ARG002
        """Give one row a sounding note."""
        return [
            {
                "offset": quarters_to_json(note.onset),
                "duration": quarters_to_json(note.duration),
                "pitch": str(note.pitch),
            }
            for note in self.theme.line.sounding
        ]

    def to_score(self, alternative: int = 1) -> Any:  # noqa: ARG002
        """Give the theme as a score of one staff."""
        return theme_to_score(self.theme)


@dataclass(frozen=True, slots=True)
class CanonBook(Shown):
    """The canons of a theme: in two voices, or as ``strettos`` in more, or over something."""

    theme: Theme
    canons: tuple[Canon, ...]
    cells: int
    strettos: tuple[Stretto, ...] = ()

    @property
    def notices(self) -> tuple[str, ...]:
        """What there is to say about the key, where none is given."""
        return tuple(filter(None, [tell_key(self.theme)]))

    def to_json(self) -> dict[str, Any]:
        """Give what ``harmony canon --json`` prints."""
        if not self.strettos:
            return {"canons": [canon.to_json() for canon in self.canons]}
        return {
            "canons": [
                {
                    "rank": place,
                    "score": round(found.score, 4),
                    "voices": len(found.entries) + 1,
                    "entries": [
                        {"steps": steps, "delay": quarters_to_json(delay)}
                        for steps, delay in found.entries
                    ],
                    "pair_scores": [round(score, 4) for score in found.pair_scores],
                    "faults": [fault.to_json() for fault in found.faults()],
                }
                for place, found in enumerate(self.strettos, start=1)
            ]
        }

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:  # noqa: ARG002
        """Give one row a canon, without its faults and entries."""
        rows = self.to_json()["canons"]
        return [{k: v for k, v in row.items() if not isinstance(v, list)} for row in rows]

    def to_score(self, alternative: int = 1) -> Any:
        """Give canon ``alternative``, counted from 1 as listed, a staff a voice."""
        listed: tuple[Any, ...] = self.strettos or self.canons
        if not 1 <= alternative <= len(listed):
            raise HarmonyError(f"There are canons 1 to {len(listed)}; {alternative} is not one.")
        chosen = listed[alternative - 1]
        return stretto_to_score(chosen) if self.strettos else canon_to_score(chosen)


def _open(theme: Theme | str | Path) -> Theme:
    if isinstance(theme, Theme):
        return theme
    from harmony.reading.theme import open_theme  # a theme in hand needs no reader

    return open_theme(theme)


def vary(theme: Theme | str | Path, *names: str) -> Variation:
    """Give the theme with named operations done in order, each upon the last.

    ``theme`` may be the path of a score, whose first part it then is.
    """
    if not names:
        raise HarmonyError("Say what to do with the theme, for example 'retrograde'.")
    theme = _open(theme)
    notices = tuple(filter(None, [tell_key(theme)]))
    for name in names:
        theme = vary_once(theme, name)
    return Variation(theme, notices)


def canon(
    theme: Theme | str | Path,
    *,
    voices: int = 2,
    judge: Judge = "tonal",
    spacing: Fraction | float | None = None,
    over: Progression | str | None = None,
    ground: Theme | str | Path | None = None,
) -> CanonBook:
    """Look for canons of a theme in 2, 3 or 4 voices, best first.

    ``theme`` and ``ground`` may be paths of scores, whose first parts they then are.
    ``over`` is a progression (or its text) and ``ground`` a bass that the voices go
    over, coming round as often as needed; ``spacing`` is that of the distances of a
    two-voice canon in quarters (to the nearest 96th), an eighth if not said.
    """
    if judge not in JUDGES:
        raise HarmonyError(f"{judge!r} is not a way of judging; it is strict, tonal or free.")
    step = EIGHTH if spacing is None else Fraction(spacing).limit_denominator(_FINEST_SHARE)
    if not FINEST_SPACING <= step <= WIDEST_SPACING:
        raise HarmonyError(
            f"Distances are not tried {float(step):g} quarters apart; 1/16 to 16 quarters are"
            " accepted, such as 1/2.",
            where="spacing",
        )
    theme = _open(theme)
    under = None
    if over is not None or ground is not None:
        chords = parse(over) if isinstance(over, str) else over
        under = Under(None if ground is None else _open(ground).line, chords)
    if voices == 2 and under is None:
        found = find_canons(theme, judge, spacing=step)
        return CanonBook(theme, found.canons, found.grid.count)
    return CanonBook(theme, (), 0, find_strettos(theme, voices, judge, under=under))
