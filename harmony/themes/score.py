"""Canons and combinations as scores, a staff a voice."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from harmony.chords import Progression
from harmony.pitch import Line, Theme
from harmony.scoring import Harmony, KeyChange, Part, Score, Staff
from harmony.scoring.build import (
    line_to_events,
    progression_to_harmonies,
    theme_to_tempi,
    usual_clef,
)
from harmony.scoring.clef import ClefChange
from harmony.themes.canon import Canon
from harmony.themes.combine import Combination
from harmony.themes.stretto import Stretto

_START = Fraction(0)


def canon_to_score(canon: Canon) -> Score:
    """Give a canon in two voices; notes have the ids a0, a1, ... and b0, b1, ..."""
    return lines_to_score(canon.theme, (canon.theme.line, canon.follower), ("Leader", "Follower"))


def stretto_to_score(stretto: Stretto) -> Score:
    """Give a canon in two to four voices, the leader on top, over its ground or chords."""
    score = lines_to_score(stretto.theme, stretto.lines, stretto.names)
    under = stretto.under
    if under is None or under.chords is None:
        return score
    return replace(
        score,
        harmonies=repeat_harmonies(
            under.chords,
            under.period(stretto.theme.meters),
            max(line.end for line in stretto.lines),
        ),
    )


def repeat_harmonies(chords: Progression, period: Fraction, end: Fraction) -> tuple[Harmony, ...]:
    """Give chords as signs, coming round every ``period`` quarters before ``end``."""
    once = progression_to_harmonies(chords)
    turns = range(max(int(-(-end // period)), 1))
    every = (replace(sign, onset=sign.onset + turn * period) for turn in turns for sign in once)
    return tuple(sign for sign in every if sign.onset < end)


def combination_to_score(combination: Combination) -> Score:
    """Give two themes together, the first on top."""
    lines = (combination.first.line, combination.second_line)
    names = (combination.first.title or "First theme", combination.second.title or "Second theme")
    return lines_to_score(combination.first, lines, names)


def lines_to_score(theme: Theme, lines: tuple[Line, ...], names: tuple[str, ...]) -> Score:
    """Give lines under the meters, key and tempo of a theme, one staff each."""
    parts = []
    for place, (line, name) in enumerate(zip(lines, names, strict=True)):
        sounding = [note.pitch for note in line if note.pitch is not None]
        events = line_to_events(line, prefix="abcdefgh"[place])
        parts.append(Part(name, (Staff(events, (ClefChange(_START, usual_clef(sounding)),)),)))
    return Score(
        parts=tuple(parts),
        meters=theme.meters,
        tempi=theme_to_tempi(theme),
        keys=() if theme.key is None else (KeyChange(_START, theme.key),),
        title=theme.title,
        source=theme.source,
    )
