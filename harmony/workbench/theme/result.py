"""What is shown under the theme: lines of music with a sentence and what is wrong in them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from harmony.pitch import Line, MeterMap, Theme
from harmony.scoring import Harmony, Score
from harmony.themes.canon import Canon
from harmony.themes.combine import Combination
from harmony.themes.faults import Fault
from harmony.themes.possibility import Possibility, canon_in_words
from harmony.themes.score import lines_to_score, stretto_to_score
from harmony.themes.stretto import Stretto


@dataclass(frozen=True, slots=True)
class Result:
    """Lines to engrave and play under the meters, key and tempo of ``theme``.

    ``operation`` is what makes the one line of it out of the theme, where that can be
    said as ``vary`` takes it; ``telling`` is a time in the bar that shows best what it
    is about, where that is not the last voice's entry.
    """

    sentence: str
    theme: Theme
    names: tuple[str, ...]
    lines: tuple[Line, ...]
    faults: tuple[Fault, ...] = ()
    harmonies: tuple[Harmony, ...] = ()
    operation: str = ""
    telling: Fraction | None = None

    def to_score(self) -> Score:
        """Give the score; note i of line a has the id ``a{i}``, of the next ``b{i}``."""
        score = lines_to_score(self.theme, self.lines, self.names)
        return replace(score, harmonies=self.harmonies) if self.harmonies else score

    def telling_bars(self, count: int) -> Result:
        """Give so many bars from where it tells most, nameless, for a small picture."""
        meters = self.theme.meters
        entry = self.telling
        if entry is None:
            entry = max(line.sounding[0].onset for line in self.lines)
        first = max(meters.locate(entry)[0], 1)
        start = meters.bar_start(first)
        end = start + sum((meters.bar_length(first + i) for i in range(count)), Fraction(0))
        lines = tuple(_cut(line, start, end) for line in self.lines)
        kept = tuple(line for line in lines if line.sounding)
        theme = replace(
            self.theme,
            meters=MeterMap(((1, meters.meter_at(first)),)),
            quarters_per_minute=None,
            title="",
        )
        return Result(self.sentence, theme, ("",) * len(kept), kept)


def _cut(line: Line, start: Fraction, end: Fraction) -> Line:
    """Give what sounds in [start, end), from time 0; what began before is cut at its beginning."""
    notes = []
    for note in line.sounding:
        low, high = max(note.onset, start), min(note.end, end)
        if low < high:
            notes.append(replace(note, onset=low - start, duration=high - low))
    return Line(tuple(notes))


def theme_to_result(theme: Theme, sentence: str = "") -> Result:
    """Show a theme alone."""
    return Result(sentence, theme, (theme.title or "Theme",), (theme.line,))


def canon_to_result(canon: Canon) -> Result:
    """Show a canon with what is wrong in it."""
    said = canon_in_words(canon)
    if canon.shift:
        said += f" Against the meter: {canon.shift}."
    lines = (canon.theme.line, canon.follower)
    return Result(said, canon.theme, ("Leader", "Follower"), lines, canon.faults())


def stretto_to_result(stretto: Stretto, sentence: str) -> Result:
    """Show a canon in several voices with what is wrong in it."""
    return Result(
        sentence,
        stretto.theme,
        stretto.names,
        stretto.lines,
        stretto.faults(),
        stretto_to_score(stretto).harmonies,
    )


def combination_to_result(found: Combination, sentence: str, names: tuple[str, str]) -> Result:
    """Show two themes together with what is wrong between them."""
    lines = (found.first.line, found.second_line)
    return Result(sentence, found.first, names, lines, found.faults())


@lru_cache(maxsize=64)
def possibility_to_result(possibility: Possibility) -> Result:
    """Show one of the best possibilities."""
    found = possibility.result
    if isinstance(found, Canon):
        return canon_to_result(found)
    if isinstance(found, Stretto):
        return stretto_to_result(found, possibility.sentence)
    if isinstance(found, Combination):
        return combination_to_result(found, possibility.sentence, ("In doubled time", "The theme"))
    return replace(theme_to_result(found, possibility.sentence), operation=possibility.operation)
