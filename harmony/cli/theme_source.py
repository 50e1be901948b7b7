"""The theme a command is given: a score, a part of it, some bars."""

from __future__ import annotations

import sys
from argparse import Namespace
from dataclasses import replace

from harmony.cli.options import CommandParser
from harmony.pitch import Key, Theme
from harmony.reading.opening import read, read_bytes
from harmony.reading.theme import score_to_theme, tell_what_is_left
from harmony.scoring.score import Score
from harmony.themes.degrees import key_or_none, tell_key


def add_theme_options(
    parser: CommandParser, *, key: str = "the key, if the score does not say it"
) -> None:
    """Declare which score, which part, which bars, and which key, whose help is ``key``."""
    parser.add_argument("score", metavar="SCORE", help="MusicXML, MIDI, ABC or kern")
    parser.add_argument("--part", metavar="P", help="the part's name or number (the first)")
    parser.add_argument("--bars", metavar="A-B", help="only these bars")
    parser.add_argument("--key", metavar="K", help=key)


def read_given_score(word: str) -> Score:
    """Read the score a command was given, ``-`` for standard input."""
    if word == "-":
        return read_bytes(sys.stdin.buffer.read(), name="standard input")
    return read(word)


def open_given_theme(options: Namespace) -> Theme:
    """Open the theme that the options name.

    What of the score is taken where there is more (several parts, voices, chords), and
    the key where none is given, is said on standard error.
    """
    score = read_given_score(options.score)
    theme = score_to_theme(score, part=options.part, bars=options.bars)
    if options.part is None and len(score.parts) > 1:
        name = f", {score.parts[0].name}," if score.parts[0].name else ""
        print(
            f"The score has {len(score.parts)} parts; the first{name} is the theme, and --part"
            " takes another.",
            file=sys.stderr,
        )
    for told in tell_what_is_left(score, part=options.part):
        print(told, file=sys.stderr)
    theme = replace(theme, key=Key.from_text(options.key)) if options.key else theme
    if said := tell_key(theme):
        print(f"{said} --key says {'another' if key_or_none(theme) else 'one'}.", file=sys.stderr)
    return theme
