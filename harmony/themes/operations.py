"""Operations by their names: what a composer writes and what is done to the theme."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch import Interval, Key, Meter, Pitch, Theme
from harmony.themes import continuing, mending, modes, phrase, rhythm, transform
from harmony.themes.degrees import KeylessError
from harmony.themes.faults import NUMBERS_IN_WORDS
from harmony.units import as_quarters

_ORDINALS = NUMBERS_IN_WORDS[:10]  # a unison to a tenth
_PITCH = r"[A-Ga-g][#b♯♭]*-?\d"
_INTERVAL = r"[PMmAd]+\d+"
_NUMBER = r"\d+(?:/0*[1-9]\d*|\.\d+)?"


@dataclass(frozen=True, slots=True)
class Operation:
    """An operation: how it is written, an example, and what it does."""

    pattern: re.Pattern[str]
    example: str
    apply: Callable[[Theme, re.Match[str]], Theme]


def vary_once(theme: Theme, name: str) -> Theme:
    """Do one named operation, such as ``retrograde`` or ``diatonic inversion about E4``."""
    text = " ".join(name.split())
    plain = text.replace("-", " ")
    if plain.lower() in rhythm.dances():
        text = plain = f"dance {plain}"
    elif text.lower() in modes.scales():
        text = f"mode {text}"
    for written in (text, plain):
        for operation in OPERATIONS:
            match = operation.pattern.fullmatch(written)
            if match:
                return _apply(operation, theme, match, text)
    examples = [operation.example for operation in OPERATIONS]
    near = get_close_matches(text, examples, n=1, cutoff=0.5)
    hint = f"; did you mean {near[0]!r}?" if near else f"; for example {', '.join(examples)}."
    raise HarmonyError(f"{name!r} is not an operation on a theme known here{hint}")


def _apply(operation: Operation, theme: Theme, match: re.Match[str], text: str) -> Theme:
    try:
        return operation.apply(theme, match)
    except KeylessError as fault:
        raise KeylessError(
            f"{text!r} goes by the degrees of a key, and this theme has none, as its notes lie in"
            " no major, minor or church scale; say a key before it ('key D minor'), or go by exact"
            " intervals ('real inversion', 'transposition up M3')."
        ) from fault


def _first_pitch(theme: Theme) -> Pitch:
    pitch = theme.line.sounding[0].pitch
    assert pitch is not None
    return pitch


def _axis(theme: Theme, text: str | None) -> Pitch:
    return Pitch.from_text(text) if text else _first_pitch(theme)


def _word(match: re.Match[str], group: str) -> str:
    """Give what stands at a place of a name as small letters: Down is down."""
    return (match[group] or "").lower()


def _invert(theme: Theme, match: re.Match[str]) -> Theme:
    axis = _axis(theme, match["axis"])
    turn = (
        transform.invert_real
        if _word(match, "kind") in ("real", "chromatic")
        else transform.invert_diatonic
    )
    turned = turn(theme, axis)
    return transform.reverse(turned) if match["backward"] else turned


def _transpose(theme: Theme, match: re.Match[str]) -> Theme:
    sign = -1 if _word(match, "way") == "down" else 1
    if match["interval"]:
        interval = Interval.from_text(match["interval"])
        return transform.transpose_real(theme, interval if sign > 0 else -interval)
    return transform.transpose_diatonic(theme, sign * _ORDINALS.index(_word(match, "ordinal")))


def _stretch(theme: Theme, match: re.Match[str]) -> Theme:
    ratio = Fraction(match["ratio"] or 2)
    if not ratio:
        raise HarmonyError("A theme cannot be stretched by 0; give a ratio such as 2 or 3/2.")
    return rhythm.stretch(theme, ratio if _word(match, "kind") == "augmentation" else 1 / ratio)


def _expand(theme: Theme, match: re.Match[str]) -> Theme:
    factor = Fraction(match["factor"] or 2)
    if not factor:
        raise HarmonyError("Intervals cannot be widened by 0; give a number such as 2.")
    wider = _word(match, "kind") == "expansion"
    return transform.expand_intervals(theme, factor if wider else 1 / factor)


def _displace(theme: Theme, match: re.Match[str]) -> Theme:
    amount = Fraction(match["quarters"] or "1/2")
    return rhythm.displace(theme, -amount if _word(match, "way") == "early" else amount)


def _sequence(theme: Theme, match: re.Match[str]) -> Theme:
    steps = _ORDINALS.index(_word(match, "ordinal")) * (-1 if _word(match, "way") == "down" else 1)
    return phrase.continue_in_sequence(
        theme, int(match["bars"] or 1), steps, int(match["times"] or 2)
    )


def _continue(theme: Theme, match: re.Match[str]) -> Theme:
    bars = theme.meters.bars_through(theme.line.end)
    kept = int(match["kept"] or max(1, len(bars) // 2))
    return continuing.continue_otherwise(
        theme,
        kept,
        bars=int(match["bars"] or max(2, len(bars) - kept)),
        closing_degree=int(match["degree"] or 1),
        contour=_word(match, "contour") or "arch",
    )


def _change_note(theme: Theme, match: re.Match[str]) -> Theme:
    before, after = Pitch.from_text(match["before"]), Pitch.from_text(match["after"])
    beat = as_quarters(float(match["beat"]))
    return mending.change_note(theme, int(match["bar"]), beat, before, after)


def _operation(
    pattern: str, example: str, apply: Callable[[Theme, re.Match[str]], Theme]
) -> Operation:
    return Operation(re.compile(pattern, re.IGNORECASE), example, apply)


OPERATIONS: tuple[Operation, ...] = (
    _operation(r"retrograde", "retrograde", lambda t, _: transform.reverse(t)),
    _operation(
        r"(?:(?P<kind>real|chromatic|diatonic) )?(?P<backward>retrograde )?inversion"
        rf"(?: about (?P<axis>{_PITCH}))?",
        "diatonic inversion about E4",
        _invert,
    ),
    _operation(
        rf"(?:(?:real|diatonic) )?transpos(?:ition|ed?)(?: by)?(?: (?P<way>up|down))?(?: a| an)?"
        rf"(?: diatonic)? (?:(?P<interval>{_INTERVAL})|(?P<ordinal>{'|'.join(_ORDINALS)}))",
        "transposition up a third",
        _transpose,
    ),
    _operation(r"tonal answer", "tonal answer", lambda t, _: transform.answer_tonally(t)),
    _operation(
        r"real answer",
        "real answer",
        lambda t, _: transform.transpose_real(t, Interval.from_text("P5")),
    ),
    _operation(
        rf"(?P<kind>augmentation|diminution)(?: (?:x|by )?(?P<ratio>{_NUMBER}))?",
        "augmentation by 2",
        _stretch,
    ),
    _operation(
        r"(?:mode|in mode|change of mode to) (?P<mode>[a-z -]+)",
        "mode phrygian dominant",
        lambda t, m: modes.change_mode(t, m["mode"]),
    ),
    _operation(
        r"(?:meter|in meter|change of meter to) (?P<meter>[\d+]+/\d+)",
        "meter 3/4",
        lambda t, m: rhythm.change_meter(t, Meter.from_text(m["meter"])),
    ),
    _operation(
        r"(?:dance|as an?) (?P<dance>[a-zéä]+)",
        "dance habanera",
        lambda t, m: rhythm.set_as_dance(t, m["dance"]),
    ),
    _operation(
        r"(?:in the )?key (?:of )?(?P<key>[A-G][#b♯♭]*(?: ?[a-z]+)*)",
        "key D dorian",
        lambda t, m: transform.read_in_key(t, Key.from_text(m["key"])),
    ),
    _operation(r"syncopation|syncopated", "syncopation", lambda t, _: rhythm.syncopate(t)),
    _operation(
        rf"displacement(?: by)?(?: (?P<quarters>{_NUMBER}))?(?: (?P<way>late|early))?",
        "displacement by 1/2 late",
        _displace,
    ),
    _operation(
        r"(?:fragment(?: of)? )?bars? (?P<first>\d+)(?:-(?P<last>\d+))?",
        "fragment bars 1-2",
        lambda t, m: phrase.take_bars(t, int(m["first"]), int(m["last"] or m["first"])),
    ),
    _operation(
        r"sequence(?: of (?P<bars>\d+) bars?)?(?: (?P<way>up|down))?"
        rf" an? (?P<ordinal>{'|'.join(_ORDINALS)})(?: (?P<times>\d+) times)?",
        "sequence of 1 bar down a second 3 times",
        _sequence,
    ),
    _operation(
        rf"(?:interval )?(?P<kind>expansion|contraction)(?: by (?P<factor>{_NUMBER}))?",
        "interval expansion by 2",
        _expand,
    ),
    _operation(r"ornament(?:ed|ation)?", "ornament", lambda t, _: phrase.add_ornament(t)),
    _operation(
        r"(?:removal of ornament|without ornament)",
        "without ornament",
        lambda t, _: phrase.remove_ornament(t),
    ),
    _operation(
        rf"bar (?P<bar>\d+) beat (?P<beat>\d+(?:\.\d+)?): (?P<before>{_PITCH})"
        rf" becomes (?P<after>{_PITCH})",
        "bar 7 beat 1.5: A4 becomes G4",
        _change_note,
    ),
    _operation(
        r"continuation(?: after (?P<kept>\d+) bars?)?(?: for (?P<bars>\d+) bars?)?"
        r"(?: to degree (?P<degree>[1-7]))?(?: (?P<contour>rise|fall|arch|dip))?",
        "continuation after 2 bars for 4 bars to degree 1 arch",
        _continue,
    ),
)


def list_examples() -> tuple[str, ...]:
    """Give one example of each operation, as it may be written."""
    return tuple(operation.example for operation in OPERATIONS)
