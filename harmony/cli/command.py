"""What a command's module gives the dispatcher."""

from __future__ import annotations

from argparse import Namespace
from typing import Protocol

from harmony.cli.options import CommandParser


class CommandModule(Protocol):
    """A module in this folder that is a command.

    ``DESCRIPTION`` says what it does and ``EXAMPLES`` shows it at work; both
    are printed by ``--help``.
    """

    DESCRIPTION: str
    EXAMPLES: str

    def add_options(self, parser: CommandParser) -> None:
        """Declare the command's words and options."""

    def run(self, options: Namespace) -> None:
        """Do the work and deliver the answer, or raise HarmonyError."""
