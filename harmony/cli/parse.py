"""`harmony parse`: read a progression and list its chords."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping, Sequence
from typing import Any

import harmony
from harmony.cli.columns import format_columns, format_quarters
from harmony.cli.options import CommandParser
from harmony.cli.output import Answer, check_output, deliver
from harmony.cli.source import read_text

DESCRIPTION = """\
Read a progression, in Roman numerals or chord symbols, and list its chords:
place, key, figure, root, quality, and pitches from the bass upward."""

EXAMPLES = """\
examples:
  harmony parse "D: I V6 | ii65 b3 V7 | I"
  harmony parse "Dmaj7 A/C# | Bm7 E7sus4 E7b9 | F#m7b5" --meter 3/4
  harmony parse "I IV V7 I" --key Eb --json
  harmony parse chorale.rntxt -o chords.json
  echo "d: i iio6 V i" | harmony parse -
"""


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    parser.add_argument("text", metavar="TEXT|FILE", help="the progression, a text file, or -")
    parser.add_argument("--key", metavar="K", help="the key before any is named: D, d, Ab, f#")
    parser.add_argument("--meter", metavar="M", help="the meter before any is named: 3/4, 6/8")
    parser.add_output_options("a score")


def run(options: Namespace) -> None:
    """Parse and deliver."""
    check_output(options)
    progression = harmony.parse(read_text(options.text), key=options.key, meter=options.meter)

    data = progression.to_json()
    deliver(Answer(tell_slots(data["slots"]), data, progression), options)


def tell_slots(slots: Sequence[Mapping[str, Any]]) -> str:
    """Lay the chords out as a table, one line a chord."""
    rows = [
        (
            f"{slot['bar']}",
            format_quarters(slot["beat"]),
            format_quarters(slot["duration"]),
            slot["key"] or "",
            slot["figure"],
            slot["root"] or "",
            slot["quality"] or "",
            " ".join(slot["pitches"]),
        )
        for slot in slots
    ]
    heads = ("bar", "beat", "quarters", "key", "chord", "root", "quality", "pitches, bass first")
    return format_columns(heads, rows, right=(0, 1, 2))
