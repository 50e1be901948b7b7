"""How an answer leaves a command: text, JSON, or a file that overwrites nothing unasked."""

from __future__ import annotations

import json
from argparse import Namespace
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from harmony.errors import HarmonyError
from harmony.saving import save_bytes, save_text
from harmony.showing import Shown

SCORE_ENDINGS = (".musicxml", ".xml", ".mxl")
PICTURE_ENDINGS = (".pdf", ".svg", ".png")
MIDI_ENDING = ".mid"
ENDINGS = (*SCORE_ENDINGS, MIDI_ENDING, *PICTURE_ENDINGS, ".json", ".txt")


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command found.

    ``text`` is for people, ``data`` is the command's JSON, ``shown`` is the
    value itself, of which ``-o`` can write a score.
    """

    text: str
    data: Mapping[str, Any]
    shown: Shown


def check_output(options: Namespace) -> None:
    """Refuse ``-o`` before any work is done, if the file could not be written.

    Raises
    ------
    HarmonyError
        For an unknown ending, a missing folder, or a file already there
        without ``--force``.
    """
    if options.output is None:
        return
    path = Path(options.output)
    if path.suffix.lower() not in ENDINGS:
        ended = f"ends in {path.suffix!r}" if path.suffix else "has no ending"
        raise HarmonyError(
            f"-o {path} {ended}; accepted are {', '.join(ENDINGS)}.", where=str(path)
        )
    if path.is_dir():
        raise HarmonyError(f"-o {path} is a folder; a file name is accepted.", where=str(path))
    if not path.parent.is_dir():
        raise HarmonyError(
            f"-o {path} lies in a folder that does not exist; an existing folder is accepted.",
            where=str(path),
        )
    if path.exists() and not options.force:
        raise HarmonyError(
            f"{path} is already there and is left as it was; another name, or --force to replace"
            " it, is accepted.",
            where=str(path),
        )


def deliver(answer: Answer, options: Namespace) -> None:
    """Print the answer and write the file that ``-o`` asked for."""
    if options.output is not None:
        _write(answer, Path(options.output), concert=options.concert, overwrite=options.force)
    if options.json:
        print_json(answer.data)
    else:
        print(answer.text)
        if options.output is not None:
            print(f"\nWritten: {options.output}")


def _write(answer: Answer, path: Path, *, concert: bool, overwrite: bool) -> None:
    ending = path.suffix.lower()
    if ending in SCORE_ENDINGS and concert:
        from harmony.writing.showing import save_score

        save_score(answer.shown.to_score(), path, concert=True, overwrite=overwrite)
    elif ending in SCORE_ENDINGS:
        answer.shown.to_musicxml(path, overwrite=overwrite)
    elif ending == MIDI_ENDING:
        from harmony.writing.midi import write_midi

        save_bytes(path, write_midi(answer.shown.to_score()), overwrite=overwrite)
    elif ending in PICTURE_ENDINGS:
        _draw(answer, path, concert=concert, overwrite=overwrite)
    elif ending == ".json":
        save_text(path, format_json(answer.data) + "\n", overwrite=overwrite)
    else:
        save_text(path, answer.text + "\n", overwrite=overwrite)


def _draw(answer: Answer, path: Path, *, concert: bool, overwrite: bool) -> None:
    from harmony.writing.paper import save_picture  # heavy, and rarely wanted

    save_picture(answer.shown.to_score(), path, concert=concert, overwrite=overwrite)


def format_json(data: Mapping[str, Any]) -> str:
    """Format a command's JSON; a number that is not finite is a fault of ours, so it raises."""
    return json.dumps(data, indent=2, allow_nan=False)


def print_json(data: Mapping[str, Any]) -> None:
    """Print a command's JSON on standard output."""
    print(format_json(data))
