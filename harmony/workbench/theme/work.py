"""From choices to music at the theme desk: operations done, canons looked for."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, TypeVar

from harmony.errors import HarmonyError
from harmony.pitch import Theme
from harmony.themes.api import vary
from harmony.themes.canon import Canon, Canons, find_canons
from harmony.themes.counterpoint import Judge
from harmony.themes.degrees import key_or_none
from harmony.themes.follower import STEPS
from harmony.themes.mending import Mend, mend
from harmony.themes.possibility import Possibility, find_possibilities
from harmony.themes.survey import MOST_BARS
from harmony.workbench.scores import list_themes, open_score, open_source, when_changed
from harmony.workbench.theme.result import (
    Result,
    canon_to_result,
    possibility_to_result,
    theme_to_result,
)
from harmony.workbench.theme.state import Choices, Search
from harmony.workbench.theme.workshop import look_for

LETTERS = "ABCDE"
LONG_BARS = 32  # a theme this long is looked at in under a second
Watch = Callable[[float], bool]
Found = TypeVar("Found")
MOST_MENDS = 8
FEW_FAULTS = 6  # with more of them two changes are not looked for: it would take a second


def bars_to_take(name: str) -> str:
    """Give the bars that are taken of a theme too long for canons; empty for all."""
    theme = open_source(name)
    bars = theme.meters.bars_through(theme.line.end)
    return f"{bars.start}-{bars.start + MOST_BARS - 1}" if len(bars) > MOST_BARS else ""


def say_taken(choices: Choices) -> str:
    """Say what of a score is the theme where that is not all there is; else nothing."""
    score = open_score(choices.source)
    number = int(choices.part or 1)
    part = score.parts[number - 1]
    events = [event for staff in part.staves for event in staff.events if event.pitches]
    said = ""
    if len(score.parts) > 1:
        said = f"The theme is part {number} of {len(score.parts)}"
        said += f", {part.name}. " if part.name else ". "
    is_one_voice = len(part.staves) == 1 and len(part.staves[0].voices) == 1
    if not is_one_voice or any(len(event.pitches) > 1 for event in events):
        said += "It sounds several notes at once; the highest line of its first voice is taken. "
    bars = open_source(choices.source, choices.part).meters.bars_through(score.end)
    if choices.bars and len(bars) > MOST_BARS:
        said += (
            f"Of its {len(bars)} bars {choices.bars} are taken, as canons are looked for in at most"
            f" {MOST_BARS}. "
        )
    return said


def varied_theme(choices: Choices) -> Theme:
    """Give the theme with its operations done."""
    theme = open_source(choices.source, choices.part, choices.bars)
    return vary(theme, *choices.operations).theme if choices.operations else theme


_KEPT = 24
_known: OrderedDict[Hashable, Any] = OrderedDict()  # the last few things that were found


def _recall(key: Hashable, find: Callable[[], Found]) -> Found:
    """Give what was found for a key, or find it now."""
    if key not in _known:
        _known[key] = find()
        while len(_known) > _KEPT:
            _known.popitem(last=False)
    _known.move_to_end(key)
    found: Found = _known[key]
    return found


def look_at_theme(
    theme: Theme, judge: Judge, watch: Watch | None = None
) -> tuple[Canons, tuple[Possibility, ...]]:
    """Give all canons of a theme and its five best possibilities; the last few are kept."""
    told = [0.0]

    def find() -> tuple[Canons, tuple[Possibility, ...]]:
        canons = find_canons(
            theme,
            judge,
            report=lambda share: told.__setitem__(0, share),
            is_cancelled=(lambda: watch(told[0])) if watch else None,
        )
        return canons, find_possibilities(theme, judge, canons=canons)

    return _recall((theme, judge), find)


def find_again(
    theme: Theme, judge: Judge, search: Search, watch: Watch | None = None
) -> tuple[Result, ...]:
    """Give what a search of the workshop finds; the last few are kept."""
    changed = tuple(when_changed(name) for name in (search.other, search.ground))
    return _recall(
        (theme, judge, search, changed), lambda: look_for(theme, judge, search, open_source, watch)
    )


def takes_long(choices: Choices) -> bool:
    """Tell whether what is chosen may take more than a second to find."""
    if choices.source not in list_themes():
        return False
    theme = varied_theme(choices)
    if len(theme.meters.bars_through(theme.line.end)) <= LONG_BARS:
        return False
    return (theme, choices.judge) not in _known or choices.search is not None


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """What the desk shows for some choices."""

    choices: Choices
    theme: Theme
    possibilities: tuple[Possibility, ...]
    canons: Canons
    finds: tuple[Result, ...]
    opened: Result
    canon: Canon | None


def do_work(choices: Choices, watch: Watch | None = None) -> Work:
    """Find everything the desk shows.

    ``watch`` is told how far a long search is, 0 to 1, and stops it by giving True.

    Raises
    ------
    HarmonyError
        If the theme cannot be opened, or an operation or canon is not possible.
    """
    theme = varied_theme(choices)
    canons, possibilities = look_at_theme(theme, choices.judge, watch)
    finds: tuple[Result, ...] = ()
    if choices.search is not None:
        finds = find_again(theme, choices.judge, choices.search, watch)
        if not finds:
            raise HarmonyError(
                f"Looked for {choices.search.kind}; nothing goes well enough to offer."
            )
    if 1 <= choices.found <= len(finds):
        return Work(choices, theme, possibilities, canons, finds, finds[choices.found - 1], None)
    opened, canon = _open_result(choices, theme, possibilities, canons)
    return Work(choices, theme, possibilities, canons, finds, opened, canon)


def _open_result(
    choices: Choices, theme: Theme, possibilities: tuple[Possibility, ...], canons: Canons
) -> tuple[Result, Canon | None]:
    if choices.cell is not None:
        steps, delay = choices.cell
        canon = canons.open_cell(choices.motion, choices.stretch, steps, delay)
        return canon_to_result(canon), canon
    place = LETTERS.find(choices.letter) if choices.letter else -1
    if not 0 <= place < len(possibilities):
        return theme_to_result(theme), None
    found = possibilities[place]
    own = found.result if isinstance(found.result, Canon) else None
    return possibility_to_result(found), own


def find_mends(work: Work) -> tuple[Mend, ...]:
    """Give the least audible changes that mend the opened canon.

    They are of one note, or where none does and few faults are told, of two.
    """
    if work.canon is None or not work.opened.faults:
        return ()
    if key_or_none(work.theme) is None:
        return ()  # notes are changed within a key
    most = 2 if len(work.opened.faults) <= FEW_FAULTS else 1
    found = mend(work.theme, work.canon.cell, work.canon.judge, most_changes=most)
    return found[:MOST_MENDS]


def row_to_steps(row: int) -> int:
    """Give the interval of a row of the chart, whose highest stands first."""
    return STEPS[len(STEPS) - 1 - row]
