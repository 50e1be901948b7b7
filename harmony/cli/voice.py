"""`harmony voice`: voice a progression for an ensemble."""

from __future__ import annotations

from argparse import Namespace

import harmony
from harmony.cli.interrupting import stop_on_interrupt
from harmony.cli.options import CommandParser, read_count, read_pairs, read_weights
from harmony.cli.output import Answer, check_output, deliver
from harmony.cli.source import read_text
from harmony.cli.voicing_table import tell_voicings

DESCRIPTION = """\
Voice a progression for an ensemble: of all voicings that keep the rules, the
one that costs least, or several. Nothing less is ever printed as the best:
where a search was stopped early, the line above the table says so.  Ctrl-C stops a
long search (many voices) with the best it has by then; a second time it ends all."""

EXAMPLES = """\
players:
  SATB choir, string quartet, string quintet, string orchestra, horn quartet,
  trombones and tuba, brass quintet, woodwind quintet, woodwind choir,
  clarinet choir, saxophone quartet, piano, piano in five parts
presets:
  chorale, strings, brass, woodwinds, horns, keyboard, parallel, free
costs:
  motion, leaps, common_tones, consecutive_perfects, direct_perfects, crossing,
  overlap, spacing, series_profile, low_intervals, doubling, completeness,
  resolution, register, top_line, stillness

examples:
  harmony voice "D: I V6 | ii65 V7 | I" --for "SATB choir"
  harmony voice "Dmaj7 A/C# | Bm7 E7" --for "string quartet" --count 3 --unlike 2
  harmony voice sketch.txt --for "brass quintet" --weight leaps=2 --weight motion=0.5
  harmony voice "d: i iv | V i" --for piano --pin "1.1 Right hand 1=F5" --json
  harmony voice "D: I IV V I" --for "SATB choir" --register "Soprano=D4-F5" -o hymn.musicxml
  echo "D: I | V7 | I" | harmony voice - --for "SATB choir"
"""


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    parser.add_argument("text", metavar="TEXT|FILE", help="the progression, a text file, or -")
    parser.add_argument(
        "--for", dest="ensemble", metavar="ENSEMBLE", required=True,
        help="the players, as below; two or more joined by +; or an ensemble's .toml file",
    )  # fmt: skip
    parser.add_argument("--count", metavar="N", default="1", help="how many voicings (1)")
    parser.add_argument(
        "--unlike", metavar="D", default="0",
        help="each voicing differs from those before it in at least D chords (0)",
    )  # fmt: skip
    parser.add_argument(
        "--preset", metavar="P",
        help="costs and rules together, as below (what suits the players)",
    )  # fmt: skip
    parser.add_argument(
        "--weight", dest="weights", metavar="TERM=X", action="append", default=[],
        help="make a cost, as below, count so much (each has its own in the preset); as often as"
        " wanted",
    )  # fmt: skip
    parser.add_argument(
        "--pin", dest="pins", metavar='"BAR.BEAT VOICE=PITCH"', action="append", default=[],
        help="hold a voice to a pitch at a place; as often as wanted",
    )  # fmt: skip
    parser.add_argument(
        "--register", dest="registers", metavar="VOICE=LOW-HIGH", action="append", default=[],
        help="hold a voice within two pitches; as often as wanted",
    )  # fmt: skip
    parser.add_argument("--melody", metavar="SCORE", help="a score whose tune the top voice has")
    parser.add_output_options("a score of the first")


def run(options: Namespace) -> None:
    """Voice and deliver."""
    check_output(options)
    # Every word is read before any work is done.
    count = read_count(options.count, "--count", least=1)
    wanted = {
        "count": count,
        "unlike": read_count(options.unlike, "--unlike"),
        "preset": options.preset,
        "weights": read_weights(options.weights) or None,
        "pins": tuple(options.pins),
        "registers": read_pairs(options.registers, "--register", "VOICE=LOW-HIGH") or None,
        "melody": options.melody,
    }
    progression = harmony.parse(read_text(options.text))
    with stop_on_interrupt() as report:
        realised = harmony.voice(progression, options.ensemble, report=report, **wanted)

    data = realised.to_json()
    places = {float(slot.onset): (slot.bar, float(slot.beat)) for slot in progression}
    deliver(Answer(tell_voicings(data, places, asked=count), data, realised), options)
