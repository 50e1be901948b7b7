"""`harmony canon`: the canons of a theme."""

from __future__ import annotations

import re
from argparse import Namespace
from fractions import Fraction
from typing import Any

import harmony
from harmony.cli.options import CommandParser, read_count
from harmony.cli.output import Answer, check_output, deliver
from harmony.cli.source import read_text
from harmony.cli.theme_source import add_theme_options, open_given_theme
from harmony.errors import HarmonyError
from harmony.pitch import Theme
from harmony.themes.api import CanonBook
from harmony.themes.counterpoint import Judge
from harmony.themes.faults import say_steps
from harmony.themes.stretto import find_nearest_stretto, say_none_goes

DESCRIPTION = """\
Look for canons of a theme: every interval up to two octaves either way, in four
motions, at equal, halved and doubled durations, at every eighth of distance. Each
is judged, and what is wrong with it is said by bar and beat."""

EXAMPLES = """\
examples:
  harmony canon shuttle.abc
  harmony canon shuttle.abc --judge strict
  harmony canon shuttle.abc --voices 3 -o three.musicxml
  harmony canon shuttle.abc --voices 3 --over "Dm7 | G7 | Dm7 | C"
  harmony canon pattern_drawer.abc --bars 1-8 --json"""

_TOLD = 12


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    add_theme_options(parser)
    parser.add_argument("--voices", metavar="N", default="2", help="2, 3 or 4 voices (2)")
    parser.add_argument(
        "--judge", metavar="JUDGE", default="tonal",
        help="strict, tonal or free: how dissonance is weighed (tonal)",
    )  # fmt: skip
    parser.add_argument(
        "--distances", metavar="QUARTERS", default="1/2",
        help="distances of a two-voice canon are multiples of this (1/2, an eighth)",
    )  # fmt: skip
    parser.add_argument(
        "--over", metavar="TEXT|FILE", help="a progression the voices go over, coming round"
    )
    parser.add_argument("--ground", metavar="SCORE", help="a bass the voices go over, coming round")
    parser.add_output_options("a score of the first canon")


def run(options: Namespace) -> None:
    """Look for canons and deliver."""
    check_output(options)
    voices = read_count(options.voices, "--voices", least=2)
    theme = open_given_theme(options)
    found = harmony.canon(
        theme,
        voices=voices,
        judge=options.judge,
        spacing=_read_distances(options.distances),
        over=read_text(options.over) if options.over else None,
        ground=harmony.open_theme(options.ground) if options.ground else None,
    )

    data = found.to_json()
    tell = _tell_entries if found.strettos else _tell
    told = "\n".join(tell(row) for row in data["canons"][:_TOLD])
    if not told:
        told = _tell_nearest(theme, voices, options.judge)
        if options.output:
            raise HarmonyError(told, where=options.output)
    deliver(Answer(told, data, found), options)


def _tell_nearest(theme: Theme, voices: int, judge: Judge) -> str:
    """Say that nothing is worth offering, and what comes nearest."""
    if voices == 2:
        return "No canon of this theme goes well enough to offer."
    told = say_none_goes(voices)
    nearest = find_nearest_stretto(theme, voices, judge)
    if nearest is None:
        return told
    (row,) = CanonBook(theme, (), 0, (nearest,)).to_json()["canons"]
    return f"{told} The nearest: {_tell_entry_points(row)}."


def _read_distances(word: str) -> Fraction:
    if re.fullmatch(r"\d+(/\d+)?", word) and not re.fullmatch(r"0+(/\d+)?|\d+/0+", word):
        spacing = Fraction(word)
        if Fraction(1, 16) <= spacing <= 16:
            return spacing
    raise HarmonyError(
        f"--distances takes quarters from 1/16 to 16 such as 1/4, not {word!r}.",
        where="--distances",
    )


def _tell(row: dict[str, Any]) -> str:
    """Tell a two-voice canon in one line, with its first fault in words."""
    where = (
        "at the unison" if row["direction"] == "unison" else f"{row['interval']} {row['direction']}"
    )
    stretch = {1: "", 2: ", in doubled durations", 0.5: ", in halved durations"}[row["stretch"]]
    return (
        f"{row['rank']:>3}. {where}, {row['delay']:g} quarters later, {row['motion']}{stretch}"
        f" ({row['answer']}): holds for {row['holds_for']:g} quarters, {_tell_faults(row)}"
    )


def _tell_entries(row: dict[str, Any]) -> str:
    """Tell a canon in more voices in one line."""
    return f"{row['rank']:>3}. {row['voices']} voices: {_tell_entry_points(row)}"


def _tell_entry_points(row: dict[str, Any]) -> str:
    """Tell where the voices of a canon come in, and its faults."""
    entries = ", ".join(
        f"{say_steps(e['steps'])} after {e['delay']:g} quarters" for e in row["entries"]
    )
    return f"{entries}: {_tell_faults(row)}"


def _tell_faults(row: dict[str, Any]) -> str:
    """Count a canon's faults and say the first."""
    faults = row["faults"]
    if not faults:
        return "no fault"
    return f"{len(faults)} fault{'s' if len(faults) > 1 else ''}; {faults[0]['message']}"
