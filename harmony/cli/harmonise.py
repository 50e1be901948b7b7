"""`harmony harmonise`: several harmonisations of a melody."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping
from typing import Any

import harmony
from harmony.cli.columns import format_columns, format_quarters
from harmony.cli.options import CommandParser, read_count, read_weights
from harmony.cli.output import Answer, check_output, deliver
from harmony.cli.theme_source import add_theme_options, read_given_score
from harmony.errors import HarmonyError
from harmony.harmonising.figures import FIGURES, name_chords
from harmony.pitch.meter import MeterMap
from harmony.reading.theme import score_to_theme, tell_what_is_left
from harmony.units import as_quarters

DESCRIPTION = """\
Harmonise a melody in several ways, each with an idea of its own. In every idiom
each alternative is the best there is for its idea, unlike those before it."""

EXAMPLES = """\
costs:
  melody_fit, likelihood, syntax, cadence, harmonic_rhythm, bass_line,
  outer_voices, key_distance, idea, variety

examples:
  harmony harmonise pattern_drawer.abc
  harmony harmonise pattern_drawer.abc --bars 1-8 --key E
  harmony harmonise pattern_drawer.abc --figures symbols -o drawer.musicxml
  harmony harmonise shuttle.abc --idiom modal --idiom pedal --count 4
  harmony harmonise shuttle.abc --idiom "modal, from bar 5 quartal"
  harmony harmonise shuttle.abc --idiom "own: Dm7 G7 Cmaj7 Am7 Em7 Fmaj7" --json
  harmony harmonise lamps_out.abc --fix "3.1=V6" --phrase-ends 20 36 -o lamps.musicxml"""


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    add_theme_options(parser, key="the key: D, d, D dorian, none; found if not said")
    parser.add_argument(
        "--idiom", dest="idioms", metavar="NAME", action="append", default=[],
        help="common-practice (usual), modal, romantic, third-relations, extended, quartal,"
        " parallel, pedal, ostinato, or 'own: CHORDS'; 'modal, from bar 9 quartal' changes at a"
        " bar; as often as wanted",
    )  # fmt: skip
    parser.add_argument("--count", metavar="N", default="5", help="how many harmonisations (5)")
    parser.add_argument(
        "--phrase-ends", dest="phrase_ends", metavar="QUARTERS", nargs="+",
        help="times in quarters at which phrases end; found if not said",
    )  # fmt: skip
    parser.add_argument(
        "--fix", dest="fixed", metavar='"BAR.BEAT=CHORD"', action="append", default=[],
        help="fix a chord at a place, or forbid it with !=; as often as wanted",
    )  # fmt: skip
    parser.add_argument(
        "--cadences", metavar="KIND", nargs="+",
        help="for each phrase full, half, evaded, elided, plagal or any",
    )  # fmt: skip
    parser.add_argument(
        "--weight", dest="weights", metavar="TERM=X", action="append", default=[],
        help="make a cost, as below, count so much; as often as wanted",
    )  # fmt: skip
    parser.add_argument(
        "--figures", metavar="KIND", default="idiom", choices=FIGURES,
        help="how chords are named: numerals, symbols, or as the idiom does (idiom)",
    )  # fmt: skip
    parser.add_output_options("a score of the first")


def run(options: Namespace) -> None:
    """Harmonise and deliver."""
    check_output(options)
    count = read_count(options.count, "--count", least=1)
    ends = _read_ends(options.phrase_ends)
    score = read_given_score(options.score)
    theme = score_to_theme(score, part=options.part, bars=options.bars)
    found = harmony.harmonise(
        theme,
        idioms=tuple(options.idioms) or ("common-practice",),
        count=count,
        key=options.key,
        phrase_ends=ends,
        fixed=tuple(options.fixed),
        weights=read_weights(options.weights) or None,
        cadences=_read_cadences(options.cadences),
        notices=tell_what_is_left(score, part=options.part),
    )
    found = name_chords(found, options.figures)
    data = found.to_json()
    deliver(Answer(tell_harmonisations(data, found.theme.meters), data, found), options)


def _read_ends(words: list[str] | None) -> list[float] | None:
    if words is None:
        return None
    ends = []
    for word in " ".join(words).replace(",", " ").split():
        try:
            ends.append(float(word))
        except ValueError:
            raise HarmonyError(
                f"{word!r} is not a time for --phrase-ends; numbers of quarters are accepted,"
                " such as 8 16.",
                where="--phrase-ends",
            ) from None
    return ends


def _read_cadences(words: list[str] | None) -> list[str | None] | None:
    if words is None:
        return None
    return [None if word == "any" else word for word in " ".join(words).replace(",", " ").split()]


def tell_harmonisations(data: Mapping[str, Any], meters: MeterMap) -> str:
    """Lay the alternatives out: for each its idea, then a line a bar."""
    parts = list(data["notices"])
    other = f" (or {data['runner_up']})" if data["runner_up"] else ""
    parts += [f"Key: {data['key'] or 'none'}{other}"]
    for number, one in enumerate(data["alternatives"], start=1):
        parts.append(
            f"\n{number}. {one['name']} ({one['idiom']}), cost {one['cost']:.1f}: {one['idea']}."
            f" Best in bar {one['best_bar']}, weakest in bar {one['weakest_bar']}."
        )
        bars: dict[int, list[str]] = {}
        for chord in one["chords"]:
            bar, beat = meters.locate(as_quarters(chord["offset"]))
            bars.setdefault(bar, []).append(f"{format_quarters(float(beat))} {chord['figure']}")
        # A chord that lasts on is said so: no bar of the tune is without a line.
        numbers = range(min(bars), max(bars) + 1)
        rows = [(str(bar), "   ".join(bars.get(bar, ["held"]))) for bar in numbers]
        parts.append(format_columns(("bar", "beat and chord"), rows, right=(0,)))
    return "\n".join(parts)
