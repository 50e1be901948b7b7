"""`harmony vary`: a theme transformed."""

from __future__ import annotations

from argparse import Namespace

import harmony
from harmony.cli.options import CommandParser
from harmony.cli.output import Answer, check_output, deliver
from harmony.cli.theme_source import add_theme_options, open_given_theme

DESCRIPTION = """\
Transform a theme by operations of the trade, done in the order given, each
upon the last. The result is properly spelled and remembers what was done."""

EXAMPLES = """\
operations, each by one example:
  retrograde
  diatonic inversion about E4
  transposition up a third
  tonal answer
  real answer
  augmentation by 2
  mode phrygian dominant
  meter 3/4
  dance habanera
  key D dorian
  syncopation
  displacement by 1/2 late
  fragment bars 1-2
  sequence of 1 bar down a second 3 times
  interval expansion by 2
  ornament
  without ornament
  bar 7 beat 1.5: A4 becomes G4
  continuation after 2 bars for 4 bars to degree 1 arch

examples:
  harmony vary shuttle.abc --by retrograde
  harmony vary shuttle.abc --by "diatonic inversion about D5" --by "augmentation by 2"
  harmony vary shuttle.abc --bars 1-4 --by "mode phrygian dominant" -o darker.musicxml
  harmony vary shuttle.abc --by "dance habanera" --json"""


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    add_theme_options(parser)
    parser.add_argument(
        "--by", dest="names", metavar="NAME", action="append", default=[], required=True,
        help="an operation, as below; as often as wanted, done in order",
    )  # fmt: skip
    parser.add_output_options("a score of the result")


def run(options: Namespace) -> None:
    """Transform and deliver."""
    check_output(options)
    varied = harmony.vary(open_given_theme(options), *options.names)

    data = varied.to_json()
    lines = [f"{row['offset']:>8g}  {row['duration']:>6g}  {row['pitch']}" for row in data["notes"]]
    told = "\n".join([", then ".join(data["derived"]), "", "  offset  length  pitch", *lines])
    deliver(Answer(told, data, varied), options)
