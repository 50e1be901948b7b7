"""`harmony spacing`: a sonority against the harmonic series."""

from __future__ import annotations

from argparse import Namespace

import harmony
from harmony.acoustics.spacing import Spacing
from harmony.cli.columns import format_columns
from harmony.cli.options import CommandParser
from harmony.cli.output import Answer, check_output, deliver
from harmony.errors import HarmonyError

DESCRIPTION = """\
Set a sonority against the harmonic series: the fundamental that best explains
it and, apart from that, its root; each note's partial and how far it lies from
it; which pairs are rough; what lies crowded below. Findings, never bans."""

EXAMPLES = """\
examples:
  harmony spacing C2 G2 E3 C4 G4 E5
  harmony spacing "C2 E2 G2 C3" --json
  harmony spacing "F2 Bb2 Eb3 Ab3" --fundamental F1
  harmony spacing C2 E2 G2 --dynamic pp --seconds 0.5
"""

_ROUGHEST_SHOWN = 3


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    parser.add_argument(
        "notes", metavar="NOTES", nargs="+", help="as sounding, in any order: C2 G2"
    )
    parser.add_argument(
        "--fundamental", metavar="NOTE", help="measure against this one, not the one found"
    )
    parser.add_argument("--dynamic", metavar="MARK", default="mf", help="how loud, pp to ff (mf)")
    parser.add_argument("--seconds", metavar="S", help="how long it sounds")
    parser.add_output_options("the chord")


def run(options: Namespace) -> None:
    """Measure and deliver."""
    check_output(options)
    found = harmony.spacing(
        " ".join(options.notes),
        fundamental=options.fundamental,
        dynamic=options.dynamic,
        seconds=_read_seconds(options.seconds),
    )

    deliver(Answer(tell_spacing(found), found.to_json(), found), options)


def tell_spacing(found: Spacing) -> str:
    """Tell what was found, for people: the facts, the notes from the top, the findings."""
    in_series = sum(one.is_in_series for one in found.placed)
    lines = [
        f"fundamental  {found.fundamental} ({found.fundamental_hz:.1f} Hz),"
        f" explains {in_series} of {len(found.placed)} notes; next best {found.runner_up}",
        f"root         {found.root}",
        f"roughness    {found.roughness:.3f} (Hutchinson and Knopoff)",
        f"harmonicity  {found.harmonicity:.3f} (Stolzenburg; 1: repeats with the lowest note)",
    ]
    rows = [
        (
            str(one.pitch),
            str(one.partial) if one.is_in_series else f"near {one.partial}",
            f"{one.deviation_cents:+.0f}",
        )
        for one in reversed(found.placed)
    ]
    lines += ["", format_columns(("note", "partial", "cents off"), rows, right=(1, 2))]
    if found.skipped:
        lines += ["", "partials passed over: " + ", ".join(map(str, found.skipped))]
    rough = [pair for pair in found.rough_pairs[:_ROUGHEST_SHOWN] if pair.amount > 0]
    if rough:
        told = (f"{one.lower} and {one.upper} ({one.share:.0%})" for one in rough)
        lines += ["", "roughest pairs: " + ", ".join(told)]
    if found.low_intervals:
        lines += ["", *(one.message for one in found.low_intervals)]
    return "\n".join(lines)


def _read_seconds(word: str | None) -> float | None:
    if word is None:
        return None
    try:
        seconds = float(word)
    except ValueError:
        seconds = -1.0
    if not 0 < seconds < 100_000:
        raise HarmonyError(f"--seconds takes a number above 0, not {word!r}.", where="--seconds")
    return seconds
