"""Options every command has, and words turned into values with one-sentence refusals."""

from __future__ import annotations

import math
import re
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Iterable
from typing import Any, NoReturn

from harmony.errors import HarmonyError

_ENDINGS = "(.musicxml, .xml, .mxl; .mid; .pdf, .svg, .png), .json or .txt"


class CommandParser(ArgumentParser):
    """An argument parser that refuses with a HarmonyError instead of leaving the process.

    Options must be written in full, so that a later option never changes what
    an older script means.
    """

    def __init__(self, **keywords: Any) -> None:
        super().__init__(
            formatter_class=RawDescriptionHelpFormatter, allow_abbrev=False, **keywords
        )

    def format_help(self) -> str:
        """Give the help, its headings in words of the trade."""
        return super().format_help().replace("positional arguments:", "to be given:", 1)

    def error(self, message: str) -> NoReturn:
        """Raise what argparse found as one sentence."""
        argument = re.match(r"argument (\S+): ", message)
        said = f"{argument.group(1)} {message[argument.end() :]}" if argument else message
        raise HarmonyError(
            f"{said[:1].upper()}{said[1:].rstrip('.')}; '{self.prog} --help' shows what is"
            " accepted.",
            where=argument.group(1) if argument else "command line",
        )

    def add_output_options(self, written: str) -> None:
        """Add ``--json``, ``-o``, ``--concert`` and ``--force``, the same for every command.

        Parameters
        ----------
        written
            What score ``-o`` writes, in words.
        """
        self.add_argument("--json", action="store_true", help="print JSON for programs")
        self.add_argument(
            "-o", dest="output", metavar="FILE", help=f"write FILE: {written} {_ENDINGS}"
        )
        self.add_argument(
            "--concert",
            action="store_true",
            help="let -o write the score at concert pitch, not as the players read it",
        )
        self.add_argument(
            "--force", action="store_true", help="let -o replace a file that is already there"
        )


def read_count(word: str, option: str, *, least: int = 0) -> int:
    """Read a whole number of at least ``least``.

    Raises
    ------
    HarmonyError
        Naming the option, the word and what is accepted.
    """
    if not re.fullmatch(r"[+-]?\d{1,9}", word) or int(word) < least:
        raise HarmonyError(
            f"{option} takes a whole number from {least} up, not {word!r}.", where=option
        )
    return int(word)


def read_pairs(words: Iterable[str], option: str, shape: str) -> dict[str, str]:
    """Read ``NAME=VALUE`` words into a dict, each name once.

    Parameters
    ----------
    words
        The option's words in the order given.
    option, shape
        The option's name and the shape of its word, for the refusal.

    Raises
    ------
    HarmonyError
        For a word without ``=``, an empty side, or a name given twice.
    """
    pairs: dict[str, str] = {}
    for word in words:
        name, equals, value = (part.strip() for part in word.partition("="))
        if not (name and equals and value):
            raise HarmonyError(f"{option} takes {shape}, not {word!r}.", where=option)
        if name in pairs:
            raise HarmonyError(
                f"{option} names {name!r} twice ({pairs[name]} and {value}); once is accepted.",
                where=option,
            )
        pairs[name] = value
    return pairs


def read_weights(words: Iterable[str]) -> dict[str, float]:
    """Read ``TERM=X`` words into weights, each a finite number from 0 up."""
    weights: dict[str, float] = {}
    for term, word in read_pairs(words, "--weight", "TERM=X (such as leaps=2)").items():
        try:
            weight = float(word)
        except ValueError:
            weight = math.nan
        if not 0 <= weight < math.inf:
            raise HarmonyError(
                f"--weight {term} takes a number from 0 up, not {word!r}.", where="--weight"
            )
        weights[term] = weight
    return weights
