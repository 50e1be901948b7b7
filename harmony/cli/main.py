"""The `harmony` command: find the command asked for, run it, report what is wrong.

Only the chosen command's module is loaded. Exit status is 0, or 2 for bad
input or no solution, with one sentence on standard error; 1 for a fault of ours.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, cast

import harmony
from harmony.cli.options import CommandParser
from harmony.cli.output import print_json
from harmony.errors import HarmonyError, reason_of

if TYPE_CHECKING:
    from harmony.cli.command import CommandModule

EXIT_BAD_INPUT = 2
EXIT_OWN_FAULT = 1
EXIT_INTERRUPTED = 130
#: set to anything, lets a fault of the workbench itself show its traceback
TRACEBACK_VARIABLE = "HARMONY_TRACEBACK"


@dataclass(frozen=True, slots=True)
class Command:
    """One line of ``harmony --help`` and the module behind it."""

    name: str
    module: str
    summary: str


COMMANDS = (
    Command("workbench", "harmony.cli.workbench", "open the desks on a sketchbook folder"),
    Command("parse", "harmony.cli.parse", "read a progression and list its chords"),
    Command("voice", "harmony.cli.voice", "voice a progression for an ensemble"),
    Command("harmonise", "harmony.cli.harmonise", "harmonise a melody in several ways"),
    Command("vary", "harmony.cli.vary", "transform a theme"),
    Command("canon", "harmony.cli.canon", "look for the canons of a theme"),
    Command("spacing", "harmony.cli.spacing", "set a sonority against the harmonic series"),
)

EPILOG = """\
examples:
  harmony workbench ~/sketchbook
  harmony parse "D: I V6 | ii65 V7 | I"
  harmony voice "D: I V6 | ii65 V7 | I" --for "SATB choir" -o hymn.musicxml

'harmony COMMAND --help' shows a command's options, with examples.
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status.

    Parameters
    ----------
    arguments
        The words after ``harmony``; the process's own when left out.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    for stream in (sys.stdout, sys.stderr):
        # A terminal without the sign for half-diminished must not stop the work.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        _run(words)
        sys.stdout.flush()
    except HarmonyError as error:
        return _refuse(error, as_json="--json" in words)
    except BrokenPipeError:
        # The reader (`head`, a pager) has seen enough; nothing more to flush.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        named = f" ({error.filename})" if error.filename else ""
        fault = HarmonyError(
            f"The computer refused a file or folder{named}: {reason_of(error)}; another place or"
            " name would be accepted.",
            where=str(error.filename) if error.filename else None,
        )
        return _refuse(fault, as_json="--json" in words)
    except KeyboardInterrupt:
        return EXIT_INTERRUPTED
    except SystemExit as done:  # argparse leaves this way after --help
        return int(done.code or 0)
    except Exception as fault:  # a composer never meets a traceback
        if os.environ.get(TRACEBACK_VARIABLE):
            raise
        told = HarmonyError(
            f"The workbench met a fault of its own ({type(fault).__name__}: {fault}); with"
            f" {TRACEBACK_VARIABLE}=1 it shows where, for whoever mends it."
        )
        _refuse(told, as_json="--json" in words)
        return EXIT_OWN_FAULT
    return 0


def _run(words: list[str]) -> None:
    front, names = _build_front_parser(), [command.name for command in COMMANDS]
    if not words:
        front.print_help()
        return
    if words[0].startswith("-"):
        if front.parse_args(words).version:
            print(f"harmony {harmony.__version__}")
            return
        raise HarmonyError(f"A command is missing; accepted are {', '.join(names)}.")
    chosen = next((command for command in COMMANDS if command.name == words[0]), None)
    if chosen is None:
        from harmony.instruments.naming import suggest  # only a refusal needs it

        raise HarmonyError(
            f"There is no command {words[0]!r}{suggest(words[0], names)}; accepted are"
            f" {', '.join(names)}.",
            where="command",
        )
    module = cast("CommandModule", import_module(chosen.module))
    parser = CommandParser(
        prog=f"harmony {chosen.name}", description=module.DESCRIPTION, epilog=module.EXAMPLES
    )
    module.add_options(parser)
    module.run(parser.parse_args(words[1:]))


def _build_front_parser() -> CommandParser:
    listing = "\n".join(f"  {command.name:<12}{command.summary}" for command in COMMANDS)
    parser = CommandParser(
        prog="harmony",
        usage="harmony COMMAND ... [--json] [-o FILE]",
        description=f"A workbench for harmony and its voicing.\n\ncommands:\n{listing}",
        epilog=EPILOG,
    )
    parser.add_argument("--version", action="store_true", help="show the version and exit")
    return parser


def _refuse(error: HarmonyError, *, as_json: bool) -> int:
    if as_json:
        # Where standard output is what was refused (a full disk), the sentence is still told.
        with contextlib.suppress(OSError):
            print_json(error.to_json())
    # One sentence is one line, whatever the message quotes.
    print(" ".join(error.message.split()), file=sys.stderr)
    return EXIT_BAD_INPUT
