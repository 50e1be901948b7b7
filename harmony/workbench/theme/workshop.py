"""What the workshop finds: continuations, canons in more voices, combinations."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from harmony.chords import Progression
from harmony.chords.api import parse
from harmony.errors import HarmonyError
from harmony.pitch import Interval, Line, Pitch, Theme
from harmony.themes.combine import Combination, Fit, combine, fit_over
from harmony.themes.continuation import continue_in_ways
from harmony.themes.counterpoint import Judge
from harmony.themes.degrees import key_or_none
from harmony.themes.faults import NUMBERS_IN_WORDS, say_steps
from harmony.themes.operations import vary_once
from harmony.themes.possibility import bars_in_words
from harmony.themes.score import repeat_harmonies
from harmony.themes.stretto import Stretto, find_nearest_stretto, find_strettos, say_none_goes
from harmony.themes.survey import StoppedError
from harmony.themes.transform import transpose_real
from harmony.themes.under import Under
from harmony.workbench.theme.result import (
    Result,
    combination_to_result,
    stretto_to_result,
    theme_to_result,
)
from harmony.workbench.theme.state import (
    CANONS,
    CONTINUATIONS,
    OTHER_THEME,
    OVER_CHORDS,
    OWN_FORMS,
    Search,
)

MOST_FOUND = 6
_LOOKED_AT = 60  # before octave transpositions of one find are laid together
_OCTAVE = 7  # steps
Found = TypeVar("Found")
_FORMS = {
    "its inversion": "{} inversion",
    "its retrograde": "retrograde",
    "its retrograde inversion": "{} retrograde inversion",
    "itself in doubled durations": "augmentation by 2",
    "itself in halved durations": "diminution by 2",
}


def look_for(
    theme: Theme,
    judge: Judge,
    search: Search,
    open_source: Callable[[str], Theme],
    watch: Callable[[float], bool] | None = None,
) -> tuple[Result, ...]:
    """Give up to six results of a search, best first.

    ``watch`` is told how far a long search is, 0 to 1, and stops it by giving True.

    Raises
    ------
    HarmonyError
        For what cannot be looked for as it is said.
    """
    if search.kind == CONTINUATIONS:
        return _continuations(theme, search)
    if search.kind == CANONS:
        return _canons(theme, judge, search, open_source, watch)
    if search.kind == OTHER_THEME:
        return _with_another(theme, judge, open_source(search.other), search.other)
    if search.kind == OWN_FORMS:
        return _with_own_forms(theme, judge)
    if search.kind == OVER_CHORDS:
        return _over_chords(theme, _read_chords(search.chords))
    raise HarmonyError(f"{search.kind!r} is nothing the workshop looks for.")


def _read_chords(text: str) -> Progression:
    if not text.strip():
        raise HarmonyError("Write the chords first, for example 'Dm7 | G7 | Dm7 | C'.")
    return parse(text)


def _continuations(theme: Theme, search: Search) -> tuple[Result, ...]:
    found = continue_in_ways(
        theme,
        kept_bars=search.kept_bars or None,
        bars=search.bars or None,
        closing_degree=search.closing_degree or None,
        contour=search.contour or None,
    )
    return tuple(
        replace(
            theme_to_result(one.theme, one.sentence),
            operation=one.operation,
            telling=one.theme.line.end - 2 * theme.meters.changes[0][1].bar_quarters,
        )
        for one in found
    )


def _canons(
    theme: Theme,
    judge: Judge,
    search: Search,
    open_source: Callable[[str], Theme],
    watch: Callable[[float], bool] | None,
) -> tuple[Result, ...]:
    under = None
    if search.ground:
        under = Under(ground=open_source(search.ground).line)
    elif search.chords:
        under = Under(chords=_read_chords(search.chords))
    told = [0.0]

    def is_stopped() -> bool:
        return watch is not None and watch(told[0])

    found = find_strettos(
        theme, search.voices, judge, under=under, count=_LOOKED_AT,
        is_cancelled=is_stopped, report=lambda share: told.__setitem__(0, share),
    )  # fmt: skip
    if is_stopped():
        raise StoppedError("The search for canons was stopped.")
    if not found and (nearest := find_nearest_stretto(theme, search.voices, judge, under=under)):
        entries = say_stretto(nearest)
        said = f"{say_none_goes(search.voices)} The nearest: {entries[0].lower()}{entries[1:]}"
        return (stretto_to_result(nearest, said),)
    unlike = _one_of_a_family(
        found, lambda one: tuple((steps % _OCTAVE, delay) for steps, delay in one.entries)
    )
    return tuple(stretto_to_result(one, say_stretto(one)) for one in unlike)


def _one_of_a_family(found: Iterable[Found], family: Callable[[Found], Hashable]) -> list[Found]:
    """Keep the first of those that are the same but for octaves, and of these the first six."""
    kept: dict[Hashable, Found] = {}
    for one in found:
        kept.setdefault(family(one), one)
    return list(kept.values())[:MOST_FOUND]


def say_stretto(stretto: Stretto) -> str:
    """Say where the voices come in: ``A fourth above after 1/2 of a bar; ...``."""
    entries = "; ".join(
        f"{say_steps(steps)} after {bars_in_words(stretto.theme, delay)}"
        for steps, delay in stretto.entries
    )
    return f"{entries[0].upper()}{entries[1:]}: {say_faults(len(stretto.faults()))}."


def say_faults(count: int) -> str:
    """Count faults in words."""
    return {0: "no fault", 1: "1 fault"}.get(count, f"{count} faults")


def _with_another(theme: Theme, judge: Judge, other: Theme, name: str) -> tuple[Result, ...]:
    """Combine with another theme as it stands, and in this theme's key."""
    name = other.title or name
    keys = key_or_none(theme), key_or_none(other)
    seconds = [(other, name)]
    if keys[0] and keys[1] and keys[0].tonic != keys[1].tonic:
        here, there = keys[0].tonic, keys[1].tonic
        # the nearer way to the other tonic: by up to a fourth, up or down
        up = Interval.between(there.in_octave(4), here.in_octave(4))
        seconds.append((transpose_real(other, up), f"{name} in {here}"))
    found = [
        (one, called) for second, called in seconds
        for one in combine(theme, second, judge, count=_LOOKED_AT)
        if second is not theme or one.delay > theme.line.sounding[0].onset  # not mere doubling
    ]  # fmt: skip
    found.sort(key=lambda pair: -pair[0].score)
    unlike = _one_of_a_family(found, lambda pair: (pair[1], pair[0].steps % _OCTAVE, pair[0].delay))
    own, stands = theme.title or "The theme", other.line.sounding[0].pitch
    return tuple(
        combination_to_result(one, say_combination(one, called, stands), (own, called))
        for one, called in unlike
    )


def _with_own_forms(theme: Theme, judge: Judge) -> tuple[Result, ...]:
    """Combine with the theme's own forms, the best of each, best first."""
    kind = "diatonic" if key_or_none(theme) else "real"
    found = [
        (one, called)
        for called, operation in _FORMS.items()
        for one in combine(theme, vary_once(theme, operation.format(kind)), judge, count=1)
    ]
    found.sort(key=lambda pair: -pair[0].score)
    own = theme.title or "The theme"
    return tuple(
        combination_to_result(one, say_combination(one, called), (own, called.capitalize()))
        for one, called in found
    )


def say_combination(found: Combination, called: str, stands: Pitch | None = None) -> str:
    """Say where a second theme comes in, what is wrong, and where the two change places.

    ``stands`` is the note it begins with where it stands, if not in this key.
    """
    stands = stands or found.second.line.sounding[0].pitch
    first, start = found.second_line.sounding[0].pitch, found.first.line.sounding[0].onset
    assert stands is not None
    assert first is not None
    steps, later = first.staff_step - stands.staff_step, found.delay - start
    moved = say_steps(steps) if steps else "as it stands" if first == stands else "where it stands"
    when = f"{bars_in_words(found.first, later)} in" if later else "together with it"
    said = f"{called[0].upper()}{called[1:]}, {moved} from {first}, {when}"
    said += f": {say_faults(len(found.faults()))}"
    if found.shared < min(found.first.line.end - start, _length(found.second.line)):
        said += f" in the {bars_in_words(found.first, found.shared)} they share"
    if found.inverts_at:
        *most, last = [f"the {name}" for name in found.inverts_at]
        said += f"; the two can change places at {', '.join(most)}{' and ' if most else ''}{last}"
    return f"{said}."


def _length(line: Line) -> Fraction:
    return line.end - line.sounding[0].onset


def _over_chords(theme: Theme, chords: Progression) -> tuple[Result, ...]:
    """Show the theme on the steps where it goes best over chords."""
    results = []
    for fit in _one_of_a_family(fit_over(theme, chords), lambda fit: fit.steps % _OCTAVE):
        moved = vary_once(theme, _move(fit.steps)) if fit.steps else theme
        period = Under(chords=chords).period(theme.meters)
        result = theme_to_result(moved, _say_fit(fit))
        results.append(
            replace(
                result,
                harmonies=repeat_harmonies(chords, period, moved.line.end),
                operation=_move(fit.steps) if fit.steps else "",
            )
        )
    return tuple(results)


def _move(steps: int) -> str:
    way = "up" if steps > 0 else "down"
    name = NUMBERS_IN_WORDS[abs(steps)]
    return f"diatonic transposition {way} {'an' if name[0] in 'aeiou' else 'a'} {name}"


def _say_fit(fit: Fit) -> str:
    where = "As it stands" if fit.steps == 0 else say_steps(fit.steps).capitalize()
    strong, whole = (f"{round(100 * share)} %" for share in (fit.stressed_share, fit.share))
    return f"{where}: {strong} of the time on beats and {whole} of all lies on notes of the chords."
