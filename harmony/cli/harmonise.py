"""`harmony harmonise`: several harmonisations of a melody."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import harmony
from harmony.cli.columns import format_columns, format_quarters
from harmony.cli.given import (
    add_given_options,
    add_player_options,
    carry_as_asked,
    read_what_is_given,
    say_carried,
)
from harmony.cli.options import CommandParser, read_count, read_weights
from harmony.cli.output import Answer, check_output, deliver
from harmony.cli.theme_source import add_theme_options, read_given_score
from harmony.errors import HarmonyError
from harmony.harmonising.counter import add_counter_melodies
from harmony.harmonising.figures import FIGURES, name_chords
from harmony.harmonising.given import harmonise_as
from harmony.harmonising.lines import MELODY
from harmony.harmonising.pedals import name_bars
from harmony.pitch.meter import MeterMap
from harmony.showing import Shown
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
  harmony harmonise lamps_out.abc --fix "3.1=V6" --phrase-ends 20 36 -o lamps.musicxml
  harmony harmonise lamps_out.abc --given bass --count 3
  harmony harmonise shuttle.abc --given inner --idiom modal --for "string quartet"
  harmony harmonise pattern_drawer.abc --bars 1-8 --counter-melody -o two_lines.musicxml
  harmony harmonise pattern_drawer.abc --idiom pedal --alternative 3 --for piano"""


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
    add_given_options(parser)
    add_player_options(parser)
    parser.add_output_options("a score of one of them")


def run(options: Namespace) -> None:
    """Harmonise and deliver."""
    check_output(options)
    count = read_count(options.count, "--count", least=1)
    ends = _read_ends(options.phrase_ends)
    score = read_given_score(options.score)
    given, theme, told = read_what_is_given(options, score)
    number = read_count(options.alternative, "--alternative", least=1)
    idioms, cadences = tuple(options.idioms) or ("common-practice",), options.cadences
    wanted = {
        "idioms": idioms,
        "count": count,
        "key": options.key,
        "phrase_ends": ends,
        "fixed": tuple(options.fixed),
        "weights": read_weights(options.weights) or None,
        "notices": told,
    }
    if given.kind == MELODY:
        found = harmony.harmonise(theme, cadences=_read_cadences(cadences), **wanted)
    elif cadences is not None:
        raise HarmonyError(
            "Cadences are asked for under a melody; leave --cadences out with another given.",
            where="--cadences",
        )
    else:
        found = harmonise_as(theme, given, **wanted)
    if options.has_counter_melody:
        found = add_counter_melodies(found)
    # A refusal comes before anything is printed or written.
    chosen = found.alternative(number)
    found = name_chords(found, options.figures)
    data = found.to_json()
    text = tell_harmonisations(data, found.theme.meters)
    shown: Shown = replace(found, alternatives=(found.alternative(number),))
    if options.ensemble is not None:
        carried = carry_as_asked(options, chosen, given)
        shown = carried.voiced
        said = say_carried(options, carried)
        text = f"{text}\n\n{number}. {said}"
        voiced = carried.voiced.to_json()
        data = {**data, "voiced": {"alternative": number, "told": said, **voiced}}
    deliver(Answer(text, data, shown), options)


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
            f" Best {name_bars(one['best_bar'], one['best_bar'])},"
            f" weakest {name_bars(one['weakest_bar'], one['weakest_bar'])}."
        )
        bars: dict[int, list[str]] = {}
        for chord in one["chords"]:
            bar, beat = meters.locate(as_quarters(chord["offset"]))
            bars.setdefault(bar, []).append(f"{format_quarters(float(beat))} {chord['figure']}")
        # A chord that lasts on is said so: no bar of the tune is without a line.
        numbers = range(min(bars), max(bars) + 1)
        rows = [(str(bar), "   ".join(bars.get(bar, ["held"]))) for bar in numbers]
        parts.append(format_columns(("bar", "beat and chord"), rows, right=(0,)))
        if "counter_melody" in one:
            parts.append(f"Counter-melody: {_tell_line(one['counter_melody'], meters)}")
    return "\n".join(parts)


def _tell_line(notes: Sequence[Mapping[str, Any]], meters: MeterMap) -> str:
    """Write a line bar by bar, each note with its beat."""
    bars: dict[int, list[str]] = {}
    for note in notes:
        bar, beat = meters.locate(as_quarters(note["offset"]))
        bars.setdefault(bar, []).append(f"{format_quarters(float(beat))} {note['pitch']}")
    return " | ".join("  ".join(row) for row in bars.values())
