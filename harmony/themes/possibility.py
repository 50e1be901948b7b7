"""The best of what a theme can become: five things unlike each other, each in a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from harmony.errors import HarmonyError
from harmony.pitch import Key, Theme
from harmony.scoring.build import theme_to_score
from harmony.themes.canon import Canon, Canons, find_canons
from harmony.themes.combine import Combination, combine
from harmony.themes.continuing import continue_otherwise
from harmony.themes.counterpoint import Judge
from harmony.themes.degrees import key_or_none, place_to_pitch
from harmony.themes.faults import NUMBERS_IN_WORDS, number_in_words
from harmony.themes.modes import change_mode, scales
from harmony.themes.phrase import continue_in_sequence
from harmony.themes.portrait import find_repeats
from harmony.themes.rhythm import stretch
from harmony.themes.score import canon_to_score, combination_to_score, stretto_to_score
from harmony.themes.stretto import Stretto, find_strettos
from harmony.themes.survey import MOST_BARS
from harmony.themes.transform import invert_diatonic, invert_real, reverse

OFFERED = 5
_WORTH_HAVING = 0.5  # a canon below this is not offered among the best
_MODES_TRIED = ("minor", "dorian", "phrygian", "lydian", "mixolydian", "major", "phrygian dominant")


@dataclass(frozen=True, slots=True)
class Possibility:
    """One thing the theme can become: its kind, a sentence, and the result itself.

    ``operation`` is what was done to it, as ``vary`` takes it, where the result is a theme.
    """

    kind: str
    sentence: str
    worth: float
    result: Theme | Canon | Stretto | Combination
    operation: str = ""

    def to_score(self) -> Any:
        """Give the result as a score."""
        if isinstance(self.result, Canon):
            return canon_to_score(self.result)
        if isinstance(self.result, Stretto):
            return stretto_to_score(self.result)
        if isinstance(self.result, Combination):
            return combination_to_score(self.result)
        return theme_to_score(self.result)


def find_possibilities(
    theme: Theme, judge: Judge = "tonal", *, canons: Canons | None = None
) -> tuple[Possibility, ...]:
    """Give the five best, one of a kind at most, the most striking first.

    ``canons`` are those of the theme by this judge, where they are known already.
    """
    key = key_or_none(theme)
    found = [
        *_canons(canons or find_canons(theme, judge)),
        *(_three_voices(theme, judge) if key else ()),
        *(_turned_over(theme, key) if key else _turned_exactly(theme)),
        *_slow_beneath(theme, judge),
        *(_other_mode(theme, key) if key else ()),
        *(_sequence(theme) if key else ()),
    ]
    if len(found) < OFFERED:  # what nearly any theme can become fills up, last
        found += [one for one in _plain_forms(theme) if one.kind not in {p.kind for p in found}]
    found.sort(key=lambda possibility: -possibility.worth)
    return tuple(found[:OFFERED])


def bars_in_words(theme: Theme, quarters: Fraction) -> str:
    """Say a length in bars of the theme's meter: ``5 bars``, ``2 1/2 bars``."""
    bars = quarters / theme.meters.changes[0][1].bar_quarters
    whole, part = divmod(bars, 1)
    if not part:
        return f"{whole} bar{'s' if whole != 1 else ''}"
    if not whole:
        return f"{part} of a bar"
    return f"{whole} {part} bars"


def _roughly(theme: Theme, quarters: Fraction) -> str:
    """Say a length in whole bars, and that it is a little more."""
    bars = int(quarters / theme.meters.changes[0][1].bar_quarters)
    if not bars:
        return "less than a bar"
    exact = quarters % theme.meters.changes[0][1].bar_quarters == 0
    return f"{'' if exact else 'more than '}{bars} bar{'s' if bars != 1 else ''}"


def _canons(found: Canons) -> list[Possibility]:
    canons = found.canons
    plain = [c for c in canons if c.cell.motion == "direct" and c.cell.stretch == 1]
    other = [c for c in canons if c.cell.motion != "direct" and c.cell.stretch == 1]
    offered = []
    for kind, listed, bonus in (("canon", plain, 0.2), ("canon turned", other, 0.1)):
        if not listed:
            continue
        best = listed[0]
        if best.score < _WORTH_HAVING:
            # where there is nothing better, what holds for longest is worth a look
            meter = found.theme.meters.changes[0][1]
            bar, beat = meter.bar_quarters, meter.beats_quarters[0]
            held = [c for c in listed if c.holds_for >= 2 * bar and c.cell.delay % beat == 0]
            if not held:
                continue
            best, bonus = max(held, key=lambda canon: canon.holds_for), -0.2
        offered.append(Possibility(kind, canon_in_words(best), best.score + bonus, best))
    return offered


def canon_in_words(canon: Canon) -> str:
    """Say a canon as a musician would."""
    where = interval_in_words(canon)
    how = {
        "direct": "",
        "contrary": " upside down",
        "retrograde": " backward",
        "retrograde-contrary": " backward and upside down",
    }[canon.cell.motion]
    later = (
        f"{bars_in_words(canon.theme, canon.cell.delay)} later" if canon.cell.delay else "at once"
    )
    held = "without a fault"
    if canon.faults():
        held = f"holding for {_roughly(canon.theme, canon.holds_for)}"
    elif canon.cell.delay * 2 > canon.theme.line.end:
        held += f" for the {bars_in_words(canon.theme, canon.holds_for)} they share"
    return f"Answers itself{how} {where}, {later}, {held}."


def interval_in_words(canon: Canon) -> str:
    """Say where a canon answers: ``at the fifth below``."""
    if canon.direction == "unison":
        return "at the unison"
    return f"at the {number_in_words(canon.interval)} {canon.direction}"


def _three_voices(theme: Theme, judge: Judge) -> list[Possibility]:
    best = find_strettos(theme, 3, judge, count=1)
    if not best or min(best[0].pair_scores) < _WORTH_HAVING:
        return []
    (first, second) = best[0].entries
    said = (
        f"Goes in three voices, entering {bars_in_words(theme, first[1])} and "
        f"{bars_in_words(theme, second[1])} after the leader."
    )
    return [Possibility("three voices", said, best[0].score + 0.15, best[0])]


def _plain_forms(theme: Theme) -> list[Possibility]:
    """Offer what asks for nothing of a theme: its beginning gone on with, or all of it backward."""
    kept = max(1, len(theme.meters.bars_through(theme.line.end)) // 2)
    backward = Possibility(
        "retrograde", "Backward, from its last note to its first.", 0.1, reverse(theme),
        "retrograde",
    )  # fmt: skip
    forms = [backward]
    axis = theme.line.sounding[0].pitch
    assert axis is not None
    try:
        turned = reverse(invert_diatonic(theme, axis))
        said = f"Backward and turned over about {axis.name}."
        done = f"diatonic retrograde inversion about {axis}"
        forms.append(Possibility("retrograde inversion", said, 0.05, turned, done))
        gone_on = continue_otherwise(theme, kept)
    except HarmonyError:
        return forms
    bars = f"{kept} bars" if kept > 1 else "bar"
    said = f"Its first {bars} kept and gone on with otherwise."
    done = f"continuation after {kept} bar{'s' if kept > 1 else ''}"
    return [Possibility("continuation", said, 0.15, gone_on, done), *forms]


def _turned_exactly(theme: Theme) -> list[Possibility]:
    """Offer the forms that ask for no key: upside down, backward, both."""
    axis = theme.line.sounding[0].pitch
    assert axis is not None
    turned = invert_real(theme, axis)
    return [
        Possibility("inversion", f"Turned over about {axis.name}, every interval exactly.", 0.6,
                    turned, f"real inversion about {axis}"),
        Possibility("retrograde", "Backward, from its last note to its first.", 0.5,
                    reverse(theme), "retrograde"),
        Possibility("retrograde inversion", f"Backward and turned over about {axis.name}.", 0.4,
                    reverse(turned), f"real retrograde inversion about {axis}"),
    ]  # fmt: skip


def _turned_over(theme: Theme, key: Key) -> list[Possibility]:
    """Offer the inversion whose axis keeps the mode unaltered, or else the theme's own notes."""
    middle = sum(n.pitch.staff_step for n in theme.line.sounding if n.pitch) // len(
        theme.line.sounding
    )
    near = sorted(range(middle - 3, middle + 4), key=lambda step: abs(step - middle))
    for step in near:
        axis = place_to_pitch(step, 0, key)
        exact, kept = invert_real(theme, axis), invert_diatonic(theme, axis)
        if [n.pitch for n in exact.line] == [n.pitch for n in kept.line]:
            said = f"Turned over about {axis.name} it stays in the mode, unaltered."
            done = f"diatonic inversion about {axis}"
            return [Possibility("inversion", said, 0.8, kept, done)]
    axis = place_to_pitch(near[0], 0, key)
    said = f"Turned over about {axis.name} within the key."
    done = f"diatonic inversion about {axis}"
    return [Possibility("inversion", said, 0.5, invert_diatonic(theme, axis), done)]


def _slow_beneath(theme: Theme, judge: Judge) -> list[Possibility]:
    """Offer the theme over itself in doubled durations."""
    if 2 * len(theme.meters.bars_through(theme.line.end)) > MOST_BARS:
        return []
    slow = stretch(theme, Fraction(2))
    within = slow.line.end - theme.line.end
    fits = [one for one in combine(slow, theme, judge) if one.delay <= within]
    if not fits or fits[0].score < _WORTH_HAVING:
        return []
    found = fits[0]
    said = "Goes against itself in doubled durations"
    if found.delay:
        said += f", entering {bars_in_words(theme, found.delay)} in"
    return [Possibility("augmentation", said + ".", found.score, found)]


def _other_mode(theme: Theme, key: Key) -> list[Possibility]:
    """Offer the mode that changes a few telling notes, rather than all or none."""
    best: Possibility | None = None
    for mode in _MODES_TRIED:
        if mode == key.mode or mode not in scales():
            continue
        changed = change_mode(theme, mode)
        pairs = list(zip(theme.line.sounding, changed.line.sounding, strict=True))
        length = sum((a.duration for a, _ in pairs), Fraction(0))
        moved = sum((a.duration for a, b in pairs if a.pitch != b.pitch), Fraction(0))
        share = float(moved / length)
        worth = 0.7 - abs(share - 0.3)
        if share and (best is None or worth > best.worth):
            names = dict.fromkeys(
                str(b.pitch.name) for a, b in pairs if b.pitch and a.pitch != b.pitch
            )
            *most, last = list(names)[:3]
            told = f"{', '.join(most)} and {last}" if most else last
            said = f"In {key.tonic} {mode} it takes {told}."
            best = Possibility("mode", said, worth, changed, f"mode {mode}")
    return [best] if best else []


def _sequence(theme: Theme) -> list[Possibility]:
    """Say which of its bars are model and copy, and offer the copy carried on."""
    repeats = [r for r in find_repeats(theme) if r.steps and r.model_bar == 1]
    if not repeats:
        return []
    model = repeats[0]
    try:
        carried = continue_in_sequence(theme, model.bars, model.steps, 3)
    except ValueError:
        return []
    said = f"{model.describe()[0].upper()}{model.describe()[1:]}: the sequence can be carried on."
    way = "up" if model.steps > 0 else "down"
    size = NUMBERS_IN_WORDS[abs(model.steps)] if abs(model.steps) < 10 else ""
    done = f"sequence of {model.bars} bars {way} a {size} 3 times" if size else ""
    return [Possibility("sequence", said, 0.45, carried, done)]
